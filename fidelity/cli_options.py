"""What the commands share: arguments and options, progress, JSON, and how a fault is told.

Arrives: click's ways. Leaves: decorators and small functions for ``cli.py``. Start reading at
``Commands``, where every fault in what was given ends up.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from fidelity.errors import Fault, FidelityError

if TYPE_CHECKING:
    from fidelity.alignment.check import AlignmentCheck
    from fidelity.dossier import Dossier
    from fidelity.terms import Alignment, Variant

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
            if ctx.meta.get(AS_JSON):
                print_json({"faults": [_fault_row(fault) for fault in error.faults]})
            click.echo(str(error), err=True)
            ctx.exit(error.exit_code)


def _fault_row(fault: Fault) -> dict[str, object]:
    """Give a fault by the names of its parts, of a long line what is around the place; else null."""
    return asdict(fault) | {"file": fault.file and str(fault.file), "source": fault.excerpt[0]}


Command = Callable[..., None]

PATH = click.Path(path_type=Path)
AS_JSON = "fidelity.as_json"  # in click's notes on the run: whether JSON is wanted


def _note_json(ctx: click.Context, _: click.Parameter, wanted: bool) -> bool:
    """Note that JSON is wanted, so that faults can be told in it too."""
    ctx.meta[AS_JSON] = wanted
    return wanted


as_json_option = click.option(
    "--json",
    "as_json",
    is_flag=True,
    is_eager=True,
    callback=_note_json,
    help='Print JSON instead of text; of what is wrong, {"faults": [...]}.',
)
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


def rewritten(dossier: Dossier, folder: Path) -> tuple[list[Path], list[str]]:
    """Give the files to which the texts of a dossier were written back, and what is to be said of them."""
    from fidelity.apparatus.rewrite import notes_on_rewriting

    files = sorted(file for file in folder.rglob("*") if file.is_file())
    return files, notes_on_rewriting(dossier, folder)


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


def examined(
    alignment: Alignment, folds: Sequence[str], check: bool
) -> tuple[list[Variant], AlignmentCheck | None]:
    """Give the differences in an alignment, and how it came out when checked, if that is wanted."""
    from fidelity.alignment.check import check_alignment
    from fidelity.variants.collect import collect
    from fidelity.witnesses.folds import load_folds

    equal = load_folds(list(folds))
    checked = check_alignment(alignment, equal) if check else None
    return collect(alignment, alignment.original.siglum, equal), checked


def print_aligned(
    alignment: Alignment,
    found: tuple[Sequence[Variant], AlignmentCheck | None],
    width: int,
    context: int,
) -> None:
    """Print two texts side by side, the signs explained first; then the check, if there was one."""
    from fidelity.apparatus.aligned_notes import check_sentence, notes_of
    from fidelity.apparatus.side_by_side import is_alike, legend, side_by_side
    from fidelity.apparatus.tables import paragraphs

    variants, check = found
    if is_alike(alignment):
        click.echo("There is no difference.")
    else:
        click.echo("\n".join(legend(alignment)) + "\n")
        for line in side_by_side(alignment, width, context, notes_of(alignment, variants)):
            click.echo(line)
    if check is not None:
        click.echo(paragraphs([check_sentence(check, alignment)], width))


def alignment_facts(
    alignment: Alignment, found: tuple[Sequence[Variant], AlignmentCheck | None]
) -> dict[str, object]:
    """Give all of an alignment: its steps, what was moved, what is in doubt, the check or null."""
    from fidelity.apparatus.aligned_rows import check_row, doubt_rows, moved_rows, step_rows

    variants, check = found
    return {
        "cost": alignment.cost,
        "rounds": alignment.rounds,
        "steps": step_rows(alignment),
        "moved": moved_rows(alignment),
        "doubts": doubt_rows(variants),
        "check": check_row(check, alignment) if check else None,
    }
