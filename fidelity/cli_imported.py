"""The command that looks for stretches taken from other witnesses.

Arrives: the words of a command line. Leaves: text or JSON on the standard output. As in ``cli.py``, nothing
heavy is imported before it is needed.
"""

from __future__ import annotations

from pathlib import Path

import click

from fidelity.cli_options import as_json_option, dossier_argument, print_json, progress, screen_width


@click.command("imported")
@dossier_argument
@as_json_option
def imported_command(dossier: Path, as_json: bool) -> None:
    """Tell whether a copy has a stretch from another witness.

    Of every text of a DOSSIER for which other witnesses are named ([[witness]]): where the witness has a
    reading of its own, as a third shows who has something else; whether the copy shares it, and how likely
    the copyist is to have come upon it by himself; the stretch that is best explained as taken from the
    witness, from where to where; what speaks against it. Nothing is proposed here: that does `fidelity
    audit`, and it says of a reading in such a stretch that it is made against that witness.

    \b
    Example:
      fidelity imported wickenby
    """
    from fidelity import imported

    found = imported(dossier, progress())
    from fidelity.apparatus.entries_imported import imported_place_rows, imported_rows
    from fidelity.apparatus.screen_imported import imported_screen

    if as_json:
        print_json(
            {
                "imported": imported_rows(found.imported),
                "imported_places": imported_place_rows(found.imported),
            }
        )
    else:
        click.echo(imported_screen(found.imported, screen_width()))
