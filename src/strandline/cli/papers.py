"""``strandline papers LIST --to FOLDER``: the papers for the people on site."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import click

from strandline import __version__
from strandline.cli.order import make_order
from strandline.cli.shared import UserError, Work, folder_to_write, list_options, open_work, write_file
from strandline.cli.tell import summary_lines
from strandline.exchange.care_json import PlanWriter, made_by
from strandline.exchange.order_json import order_document
from strandline.papers.compile import CompiledPaper, PaperError
from strandline.papers.head import Head
from strandline.papers.registry import PAPERS
from strandline.pipeline.lists import Tally, plans
from strandline.services.given import Batch, GivenError, given_for, hands_of
from strandline.things.tags import TagError


@dataclass(frozen=True, slots=True)
class Printed:
    """One paper written: its name, file, sides and what could not be printed."""

    name: str
    path: Path
    paper: CompiledPaper
    seconds: float


@click.command()
@list_options
@click.option(
    "--to",
    "folder",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    required=True,
    help="Where the PDFs go.",
)
@click.option(
    "--only",
    metavar="PAPER",
    multiple=True,
    help=f"Only this paper; may be given several times. One of: {', '.join(PAPERS)}.",
)
@click.pass_context
def papers(
    ctx: click.Context,
    list_path: Path,
    as_of: str | None,
    site_path: Path | None,
    columns: tuple[str, ...],
    overrides_path: Path | None,
    folder: Path,
    only: tuple[str, ...],
) -> None:
    """Print the papers for the objects of LIST as PDF into FOLDER.

    PDF/A-2a and PDF/UA-1, black on white. Text the fonts cannot print is named. Exit codes are
    those of 'care'.
    """
    unknown = [name for name in only if name not in PAPERS]
    if unknown:
        raise UserError(f"there is no paper '{unknown[0]}'; papers are {', '.join(PAPERS)}")
    work = open_work(list_path, as_of, site_path, columns, overrides_path)
    folder_to_write(folder)
    tally = Tally(problems=work.opened.problems)
    batch = make_batch(work, tally)
    for printed in print_papers(batch, folder, only or tuple(PAPERS)):
        click.echo(paper_line(printed))
    for line in summary_lines(tally):
        click.echo(line, err=True)
    ctx.exit(1 if tally.needs_a_person else 0)


def make_batch(work: Work, tally: Tally) -> Batch:
    """Plans and order of a list, in the shape papers take."""
    items = list(plans(work.opened.rows, work.engine, work.site, tally))
    writer = PlanWriter()
    knowledge = work.engine.book.knowledge
    objects = [json.loads(writer.object_line(facts, plan)) for facts, plan in items]
    try:
        hands = hands_of(work.incident.get("crew", {}))
    except GivenError as error:
        raise UserError(str(error)) from error
    made = make_order(items, work, *hands, 8.0)
    order = order_document(made.problem, made.schedule, made.why, made_by(knowledge, __version__))
    try:
        head = Head(
            incident=str(work.incident.get("code", "SITE")),
            name=str(work.incident.get("name", work.opened.head.name)),
            as_of=work.site.as_of,
            zone=work.site.zone,
            knowledge=knowledge.version,
            reviewed=knowledge.reviewed,
        )
    except (TagError, PaperError) as error:
        raise UserError(f"site: {error}") from error
    return Batch(head, objects, order, work)


def print_papers(batch: Batch, folder: Path, names: tuple[str, ...]) -> Iterator[Printed]:
    """Make each paper and write it; raises UserError naming the paper that cannot be made."""
    for name in names:
        began = time.perf_counter()
        try:
            paper = PAPERS[name][1](batch.head, given_for(name, batch))
        except GivenError as error:
            raise UserError(str(error)) from error
        except ValueError as error:
            raise UserError(f"{name} cannot be made: {error}") from error
        path = folder / f"{name.replace('_', '-')}.pdf"
        write_file(path, paper.pdf)
        yield Printed(name, path, paper, time.perf_counter() - began)


def paper_line(printed: Printed) -> str:
    """One line about a paper written."""
    missing = printed.paper.unprintable
    runs = ", ".join(f"{one.tag} {one.text}".strip() for one in missing[:5])
    note = f"; not printable, marked [see screen]: {runs}" if missing else ""
    return f"{printed.path}  {printed.paper.pages} sides, {printed.seconds:.1f} s{note}"
