"""The command that weighs readings collected from many sources.

Arrives: the words of a command line. Leaves: text or JSON on the standard output. As in ``cli.py``, nothing
heavy is imported before it is needed.
"""

from __future__ import annotations

from pathlib import Path

import click

from fidelity.cli_options import PATH, as_json_option, print_json, progress, screen_width


@click.command("attest")
@click.argument("table", type=PATH)
@click.option(
    "--fold",
    "folds",
    metavar="NAME",
    multiple=True,
    help="A set of letterforms that count as equal, such as insular or long_s. May be given again.",
)
@click.option(
    "--rate",
    type=float,
    metavar="NUMBER",
    help="Wrong letters per 1,000 assumed of a source without a rate of its own. [default: 5]",
)
@as_json_option
def attest_command(table: Path, folds: tuple[str, ...], rate: float | None, as_json: bool) -> None:
    """Weigh readings collected from many sources.

    TABLE may be a dossier: then all the witnesses of its lost texts, and his copies, are set side by side.
    Else TABLE (.csv, .tsv, .xlsx, .ods) has a row for each source: its siglum, the reading (a name, value or
    spelling; ∅ where it leaves words out) and, if known, what it depends_on, its date, the locus, and a
    rate of wrong letters per 1,000. Sources that only repeat another in the table have no vote; each line of
    descent has one. No text is needed.

    \b
    Example:
      fidelity attest owners_name.csv
      fidelity attest my_dossier
    """
    from fidelity import attest

    found = attest(table, folds, rate, progress())
    from fidelity.apparatus.entries_attestation import table_facts
    from fidelity.apparatus.screen_attest import attest_screen

    if as_json:
        print_json(table_facts(found))
    else:
        click.echo(attest_screen(found, screen_width()))
