"""``strandline care LIST``: a plan for each object, as a table, in full, or as JSON."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from strandline import __version__
from strandline.cli.shared import UserError, Work, list_options, open_work
from strandline.cli.tell import object_text, summary_lines, table_line, table_widths, unread_line
from strandline.exchange.care_json import Document, PlanWriter, made_by
from strandline.knowledge.base import REVIEW_SENTENCE
from strandline.pipeline.lists import Tally, plans
from strandline.pipeline.tags import tidy


@click.command()
@list_options
@click.option("--json", "as_json", is_flag=True, help="Write strandline.care/1 to standard output.")
@click.option("--show", metavar="TAG", help="Show one object's plan in full, with the reasons.")
@click.pass_context
def care(
    ctx: click.Context,
    list_path: Path,
    as_of: str | None,
    site_path: Path | None,
    columns: tuple[str, ...],
    overrides_path: Path | None,
    as_json: bool,
    show: str | None,
) -> None:
    """Make a plan for each object of LIST (CSV, XLSX or JSON).

    Exit code 0: all read and settled. 1: a stop, an open conflict, or something in the list could
    not be used; it is named. 2: the list cannot be read at all.
    """
    work = open_work(list_path, as_of, site_path, columns, overrides_path)
    tally = Tally(problems=work.opened.problems)
    if as_json:
        _json(work, tally)
    elif show:
        _one(work, tally, show)
    else:
        _table(work, tally)
    for line in summary_lines(tally):
        click.echo(line, err=True)
    ctx.exit(1 if tally.needs_a_person else 0)


def _json(work: Work, tally: Tally) -> None:
    knowledge = work.engine.book.knowledge
    document = Document(sys.stdout, made_by(knowledge, __version__), work.site.as_of)
    writer = PlanWriter()
    for facts, plan in plans(work.opened.rows, work.engine, work.site, tally):
        document.add(writer.object_line(facts, plan))
    document.close(work.opened.head, tally.rows, tally.problems, tally.rejected)


def _one(work: Work, tally: Tally, tag: str) -> None:
    found = False
    for facts, plan in plans(work.opened.rows, work.engine, work.site, tally):
        if facts.tag in {tag, tidy(tag)} or facts.owner_number == tag:
            found = True
            click.echo(object_text(facts, plan, work.site.as_of))
    if not found:
        raise UserError(f"no object has the tag or owner number '{tag}'")
    click.echo(REVIEW_SENTENCE)


def _table(work: Work, tally: Tally) -> None:
    widths = table_widths()
    header = True
    words = objects = 0
    for facts, plan in plans(work.opened.rows, work.engine, work.site, tally):
        if header:
            click.echo(table_line(None, None, widths))
            header = False
        click.echo(table_line(facts, plan, widths))
        words += len(facts.unread)
        objects += bool(facts.unread)
    if words:
        click.echo(unread_line(words, objects))
    click.echo(REVIEW_SENTENCE)
