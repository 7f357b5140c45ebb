"""The command that tells of other hands.

Arrives: the words of a command line. Leaves: text or JSON on the standard output. As in ``cli.py``, nothing
heavy is imported before it is needed.
"""

from __future__ import annotations

from pathlib import Path

import click

from fidelity.cli_options import as_json_option, dossier_argument, print_json, progress, screen_width


@click.command("hands")
@dossier_argument
@as_json_option
def hands_command(dossier: Path, as_json: bool) -> None:
    """Tell what he did with other hands, and where to look.

    In the survivors of a DOSSIER: what another hand added, or what was cancelled, and whether his copy has it
    as text, keeps it apart, or leaves it out. In the lost texts: words that another hand may have added, each
    with the grounds and with what such grounds were worth in the survivors. They are questions to a
    palaeographer. Letterforms of two scripts in one word are listed, where letterforms are transcribed.

    \b
    Example:
      fidelity hands wickenby
    """
    from fidelity import hands

    found = hands(dossier, progress())
    from fidelity.apparatus.entries_hands import hands_facts
    from fidelity.apparatus.screen_hands import hands_screen

    if as_json:
        print_json(hands_facts(found))
    else:
        click.echo(hands_screen(found, screen_width()))
