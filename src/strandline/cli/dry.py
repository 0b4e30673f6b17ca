"""``strandline dry``: what is to be expected of wet bodies that dry in a room."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from strandline.cli.dry_options import Given, around_options, body_options, list_choice, room_options
from strandline.cli.shared import maybe_list_options


@click.command("dry")
@maybe_list_options
@body_options
@around_options
@room_options
@list_choice
@click.option("--json", "as_json", is_flag=True, help="Write strandline.dry/1 to standard output.")
@click.option(
    "--chart", type=click.Path(path_type=Path), metavar="FILE.svg", help="Draw one body's forecast."
)
@click.option(
    "--show", metavar="TAG", help="One object of LIST in full; TAG/PART for one part, such as 0042/p3."
)
@click.pass_context
def dry(ctx: click.Context, /, list_path: Path | None, **options: Any) -> None:
    """Forecast how wet things dry: one body described by options, or the parts of the objects of LIST.

    Every figure is a band: low, likely, high. It is no instruction, and it says nothing of an object
    whose plan has a stop or does not dry it. Exit codes are those of 'care'.
    """
    # Timbers, bodies and covers are read for a forecast only; every other command starts without them.
    from strandline.cli.dry_run import run_dry

    ctx.exit(run_dry(list_path, Given(**options)))
