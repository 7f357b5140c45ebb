"""What the commands share: arguments and options, progress, JSON, and how a fault is told.

Arrives: click's ways. Leaves: decorators and small functions for ``cli.py``. Start reading at
``Commands``, where every fault in what was given ends up.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from fidelity.errors import FidelityError

if TYPE_CHECKING:
    from fidelity.terms import Alignment

PROFILES = ("plain", "leiden", "leiden_literary")  # as in witnesses/read.py, too heavy to import here
NO_TERMINAL = 100  # letters to the line where the output is no terminal


class Commands(click.Group):
    """The commands in the order of the work; what is wrong with the data is told here, once."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Give the commands in the order in which they were written down."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; a fault in what was given becomes a message and an exit code."""
        try:
            return super().invoke(ctx)
        except FidelityError as error:
            click.echo(str(error), err=True)
            ctx.exit(error.exit_code)


Command = Callable[..., None]

PATH = click.Path(path_type=Path)
as_json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")
dossier_argument = click.argument("dossier", type=PATH)


def pair_arguments(command: Command) -> Command:
    """Give a command the arguments and options of two files compared without a dossier."""
    for decorate in (
        click.argument("copy", type=PATH),
        click.argument("original", type=PATH),
        click.option(
            "--fold",
            "folds",
            metavar="NAME",
            multiple=True,
            help="A set of letterforms that count as equal, such as insular or long_s. May be given again.",
        ),
        click.option(
            "--profile",
            type=click.Choice(PROFILES),
            default="plain",
            show_default=True,
            help="Which editorial signs are used: none, those of Leiden, or those where [abc] is deleted.",
        ),
        click.option("--script", metavar="NAME", default="", help="Script of the original, such as insular."),
    ):
        command = decorate(command)
    return command


def progress() -> Callable[[str], None]:
    """Tell what is being done, on a terminal only."""
    if sys.stderr.isatty():
        return lambda message: click.echo(f"{message} …", err=True)
    return lambda _: None


def screen_width() -> int:
    """Give the letters that go to a line of the screen."""
    return shutil.get_terminal_size((NO_TERMINAL, 24)).columns


def print_json(data: object) -> None:
    """Print rows, or anything made of mappings and lists, as JSON."""
    from fidelity.apparatus.tables import json_text

    click.echo(json_text(data), nl=False)


def print_aligned(alignment: Alignment, width: int, context: int) -> None:
    """Print two texts side by side, with the signs explained first."""
    from fidelity.apparatus.side_by_side import LEGEND, is_alike, side_by_side

    if is_alike(alignment):
        click.echo("There is no difference.")
        return
    click.echo("\n".join(LEGEND) + "\n")
    for line in side_by_side(alignment, width, context):
        click.echo(line)
