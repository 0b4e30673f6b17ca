"""``strandline demo``: an invented flood, worked through from list to papers in a fresh folder."""

from __future__ import annotations

import io
import json
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

import click

from strandline import __version__
from strandline.cli.order import order_lines
from strandline.cli.papers import make_batch, paper_line, print_papers
from strandline.cli.shared import UserError, folder_to_write, open_work, write_file
from strandline.cli.tell import summary_lines, table_line, table_widths
from strandline.exchange.care_json import Document, PlanWriter, made_by
from strandline.knowledge.base import REVIEW_SENTENCE
from strandline.papers.registry import PAPERS
from strandline.pipeline.lists import Tally, plans

AS_OF = "2026-03-15T15:40:00+00:00"
SHOWN = 14
FILES: tuple[str, ...] = ("list.csv", "first12.csv", "site.toml", "README.md")
Say = Callable[[str], None]
WORDS = ("anchor", "basin", "beam", "block", "canvas", "cork", "deck", "keel", "lamp", "loft", "mast", "net",
         "oar", "peg", "quay", "rope", "sail", "spar", "tar", "tide", "twine", "wharf", "wick")  # fmt: skip
"""For the password of the invented practice; it protects nothing."""


@click.command()
@click.option(
    "--to",
    "folder",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="The folder to make (default: a fresh strandline-demo-N).",
)
def demo(folder: Path | None) -> None:
    """Work through an invented flood: about 140 objects, from an untidy list to plans, order and papers."""
    began = time.perf_counter()
    where = folder_to_write(_fresh(folder))
    for name in FILES:
        write_file(where / name, files("strandline.demo_data").joinpath(name).read_bytes())
    click.echo(f"The invented flood of the Ostrey Reach Net Loft, 15 March 2026, in {where}\n")
    run(where, click.echo)
    opened = record(where, click.echo)
    click.echo(f"\nAll of it in {time.perf_counter() - began:.0f} s. {REVIEW_SENTENCE}")
    click.echo(_next(where))
    click.echo(opened)


def run(where: Path, say: Say) -> None:
    """Plans, order and papers of the demo's list, each step told as it goes."""
    site = where / "site.toml"
    work = open_work(where / "list.csv", AS_OF, site, (), None)
    tally = Tally(problems=work.opened.problems)
    say(f"1. The list, {work.opened.encoding}, as several people typed it: what each thing needs")
    out, writer, shown = io.StringIO(), PlanWriter(), 0
    document = Document(out, made_by(work.engine.book.knowledge, __version__), work.site.as_of)
    widths = table_widths()
    say(table_line(None, None, widths))
    for facts, plan in plans(work.opened.rows, work.engine, work.site, tally):
        document.add(writer.object_line(facts, plan))
        if shown < SHOWN:
            say(table_line(facts, plan, widths))
        shown += 1
    document.close(work.opened.head, tally.rows, tally.problems, tally.rejected)
    write_file(where / "plans.json", out.getvalue().encode())
    say(f"   ... {shown - SHOWN} more; all of them with every reason in {where / 'plans.json'}\n")
    for line in summary_lines(tally):
        say(line)
    again = open_work(where / "list.csv", AS_OF, site, (), None)
    batch = make_batch(again, Tally(problems=again.opened.problems))
    write_file(where / "order.json", json.dumps(batch.order, ensure_ascii=False, indent=1).encode())
    say("\n2. The order: stops first, then what loses most by waiting, then tray by tray")
    for line in order_lines(batch.order, 6):
        say(line)
    say(f"   all of it with every step in {where / 'order.json'}")
    say("\n3. The papers")
    for printed in print_papers(batch, where / "papers", tuple(PAPERS)):
        say("   " + paper_line(printed))


def record(where: Path, say: Say) -> str:
    """Fill a practice with the story up to its second morning; what to do with it."""
    # The record needs Django, which everything before this line does without.
    from strandline.records.practice import open_practice

    practice = where / "practice"
    password = "-".join(secrets.choice(WORDS) for _ in range(3))
    say("\n4. The record, as it stands on the second morning")
    open_practice(practice, datetime.now(UTC))
    # Tables can be named only once the record is open.
    from strandline.services.story.tell import tell

    shown = Progress(say)
    tell(where / "site.toml", where / "list.csv", practice, password, shown)
    log_ins = f"lead, assistant, helper1 to helper5, trustee; password for all of them: {password}"
    write_file(where / "LOG-INS.txt", f"{log_ins}\nOnly for this invented practice.\n".encode())
    return f"""
The record lies in {practice}. Open it with
  ./strandline serve --practice {practice}
and sign in on http://127.0.0.1:8317/ as {log_ins}"""


@dataclass(slots=True)
class Progress:
    """Says how far a long work has come, every fifth part of it."""

    say: Say
    _told: int = -1

    def __call__(self, what: str, done: int, of: int) -> None:
        """One more is done."""
        fifth = 5 * done // of
        if fifth != self._told:
            self._told = fifth
            self.say(f"   {what}: {done} of {of}")


def _fresh(folder: Path | None) -> Path:
    """The folder asked for if it is empty, or the first strandline-demo-N that is not there yet.

    In the checkout itself the demo goes to the home folder: nothing is written into the checkout.
    """
    if folder is not None:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise UserError(f"{folder} is there already and not empty; name another folder")
        return folder
    checkout = Path(__file__).resolve().parents[3]
    here = Path.cwd()
    base = Path.home() if here == checkout or checkout in here.parents else here
    return next(path for n in range(1, 10_000) if not (path := base / f"strandline-demo-{n}").exists())


def _next(where: Path) -> str:
    return f"""
Look next at
  {where / "papers" / "care-card.pdf"}   one card per object, the stops first
  {where / "papers" / "day-sheet.pdf"}   what each station does in the first half-shift
  {where / "papers" / "hazard-walk.pdf"}   the walk before anybody touches anything
then try, in this checkout
  ./strandline care {where / "list.csv"} --site {where / "site.toml"} --as-of {AS_OF} --show 0042
  ./strandline care {where / "first12.csv"} --as-of {AS_OF}
  ./strandline order {where / "list.csv"} --site {where / "site.toml"} --as-of {AS_OF} --helpers 3
  ./strandline dry {where / "list.csv"} --site {where / "site.toml"} --as-of {AS_OF} --room-c 12 --room-rh 55
  ./strandline knowledge show iron"""
