"""The command that tells everything known of one place.

Arrives: the words of a command line. Leaves: text or JSON on the standard output. As in ``cli.py``, nothing
heavy is imported before it is needed.
"""

from __future__ import annotations

from pathlib import Path

import click

from fidelity.cli_options import as_json_option, dossier_argument, print_json, progress, screen_width


@click.command("place")
@dossier_argument
@click.argument("locus", nargs=-1, required=True)
@click.option("--reading", metavar="TEXT", help="What the original would have read there: it is judged too.")
@as_json_option
def place_command(dossier: Path, locus: tuple[str, ...], reading: str | None, as_json: bool) -> None:
    """Tell everything known of one place.

    LOCUS is a place in a text of the DOSSIER as scholars write it: "X 12r:3.4" (page, line, word), "X f.
    12r, l. 3", "X 12r:3.4-6", "X 12r:3-12v:2". Of a lost text all readings are shown with probabilities,
    operations, parallels and counterexamples, and what becomes of the conjectures on it; of a survivor what
    the copyist did there, why, and how often elsewhere. The survivors are tested blind first, as for an
    audit, since that is what the probabilities rest on.

    \b
    Example:
      fidelity place wickenby "X 12r:3.4" --reading wæs
    """
    from fidelity import place

    found = place(dossier, " ".join(locus), reading, progress())
    from fidelity.apparatus.entries_place import place_facts
    from fidelity.apparatus.screen_place import place_screen

    if as_json:
        print_json(place_facts(found))
    else:
        click.echo(place_screen(found, screen_width()))
