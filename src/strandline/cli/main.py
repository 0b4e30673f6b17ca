"""The command line: thin faces over the pipeline."""

from __future__ import annotations

import sys

import click

from strandline import __version__
from strandline.cli.care import care
from strandline.cli.demo import demo
from strandline.cli.dry import dry
from strandline.cli.knowledge import knowledge
from strandline.cli.order import order
from strandline.cli.papers import papers
from strandline.cli.record import backup_command, export_command, restore_command
from strandline.cli.serve import serve
from strandline.cli.shared import UserError
from strandline.cli.show import show


class Commands(click.Group):
    """A group whose errors are one sentence on stderr and exit code 2, never a traceback."""

    def invoke(self, ctx: click.Context) -> object:
        """Run the command, turning what went wrong into a sentence."""
        try:
            return super().invoke(ctx)
        except UserError as error:
            click.echo(f"strandline: {error}", err=True)
            ctx.exit(2)
        except BrokenPipeError:
            # The reader of our output went away (a pager closed): nothing is left to say.
            sys.stderr.close()
            ctx.exit(0)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="strandline")
def main() -> None:
    """From a list of wet objects to instructions a crew can carry out."""


main.add_command(care)
main.add_command(order)
main.add_command(dry)
main.add_command(papers)
main.add_command(knowledge)
main.add_command(demo)
main.add_command(serve)
main.add_command(show)
main.add_command(backup_command)
main.add_command(restore_command)
main.add_command(export_command)
