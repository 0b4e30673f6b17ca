"""``strandline order LIST``: which object next, and why."""

from __future__ import annotations

import json
import math
import time
from dataclasses import replace
from pathlib import Path

import click

from strandline import __version__
from strandline.cli.shared import UserError, Work, list_options, open_work
from strandline.cli.tell import summary_lines
from strandline.exchange.care_json import made_by
from strandline.exchange.order_json import order_document
from strandline.knowledge.base import REVIEW_SENTENCE
from strandline.pipeline.lists import Tally, plans
from strandline.pipeline.ordering import WorkOrder, default_crew, work_order
from strandline.things.facts import Facts
from strandline.things.plan import Plan
from strandline.things.work import NO_BOUND

SHOWN = 40
NO_TITLE = "(no title)"


def _finite(ctx: click.Context, param: click.Parameter, value: float) -> float:
    """Not a number is in no range, and every comparison with it passes."""
    if not math.isfinite(value):
        raise click.BadParameter(f"{value} is no number of hours.", ctx, param)
    return value


@click.command()
@list_options
@click.option("--json", "as_json", is_flag=True, help="Write strandline.order/1 to standard output.")
@click.option(
    "--conservators", type=click.IntRange(0, 50), default=2, show_default=True, help="Conservators at work."
)
@click.option("--helpers", type=click.IntRange(0, 200), default=5, show_default=True, help="Helpers at work.")
@click.option(
    "--hours",
    type=click.FloatRange(0.5, 24),
    callback=_finite,
    default=8.0,
    show_default=True,
    help="Length of a shift in hours.",
)
@click.option(
    "--first", type=click.IntRange(1), default=SHOWN, show_default=True, help="How many objects to show."
)
@click.pass_context
def order(
    ctx: click.Context,
    list_path: Path,
    as_of: str | None,
    site_path: Path | None,
    columns: tuple[str, ...],
    overrides_path: Path | None,
    as_json: bool,
    conservators: int,
    helpers: int,
    hours: float,
    first: int,
) -> None:
    """Put the objects of LIST in the order that loses least with this crew.

    Stops come first and are nobody's work until released. Exit codes are those of 'care'.
    """
    work = open_work(list_path, as_of, site_path, columns, overrides_path)
    tally = Tally(problems=work.opened.problems)
    items = list(plans(work.opened.rows, work.engine, work.site, tally))
    made = make_order(items, work, conservators, helpers, hours)
    document = order_document(
        made.problem, made.schedule, made.why, made_by(work.engine.book.knowledge, __version__)
    )
    if as_json:
        click.echo(json.dumps(document, ensure_ascii=False, allow_nan=False))
    else:
        for line in order_lines(document, first):
            click.echo(line)
        click.echo(REVIEW_SENTENCE)
    for line in summary_lines(tally):
        click.echo(line, err=True)
    ctx.exit(1 if tally.needs_a_person else 0)


def make_order(
    items: list[tuple[Facts, Plan]], work: Work, conservators: int, helpers: int, hours: float
) -> WorkOrder:
    """The order of work, with the seconds it took; UserError where nobody is there to do it."""
    if conservators + helpers == 0:
        raise UserError("nobody is at work: there must be a conservator or a helper to put work in order")
    began = time.perf_counter()
    made = work_order(items, work.site.as_of, default_crew(conservators, helpers, hours, hours))
    seconds = time.perf_counter() - began
    return replace(made, schedule=replace(made.schedule, seconds=seconds))


def order_lines(document: dict[str, object], first: int) -> list[str]:
    """The order in words."""
    rows: list[dict[str, object]] = document["rows"]  # type: ignore[assignment]  # shape of strandline.order/1
    stops: list[dict[str, object]] = document["stops"]  # type: ignore[assignment]  # shape of strandline.order/1
    loss: dict[str, float] = document["loss"]  # type: ignore[assignment]  # shape of strandline.order/1
    lines = [f"STOP  {row['tag']}  {row['title'] or NO_TITLE}: {row['say']}" for row in stops]
    for row in rows[:first]:
        when = "now" if row["phase"] == "now" else "then"
        lines.append(f"{row['place']:>4}. {row['tag']:<6} {when:<5} {row['title'] or NO_TITLE}")
        lines.append(f"      {row['why']}")
    if len(rows) > first:
        lines.append(f"... and {len(rows) - first} more; --first shows more, --json all.")
    lines.append(
        f"Expected loss {loss['expected']:.1f} of {loss['total_weight']:.1f}; "
        f"{loss['if_nothing_done']:.1f} if nothing is done. {_bound(str(document['bound_note']))}"
    )
    return lines


def _bound(note: str) -> str:
    """What is known of a better order, as a sentence."""
    return "How much better it could be is not computed." if note == NO_BOUND else f"{note.capitalize()}."
