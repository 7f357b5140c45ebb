"""The commands: each parses, calls the library function of its name, and prints.

Those that judge a whole dossier stand in ``cli_dossier.py``.

Arrives: the words of a command line. Leaves: text or JSON on the standard output, faults on the
standard error (and as JSON on the output, where JSON is asked for). Start reading at ``main``. No
philology here, and nothing heavy is imported before a command needs it, so that ``--help`` answers
at once.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from fidelity.cli_attest import attest_command
from fidelity.cli_dossier import (
    apply_command,
    audit_command,
    decide_command,
    patterns_command,
    rule_command,
    trial_command,
)
from fidelity.cli_hands import hands_command
from fidelity.cli_imported import imported_command
from fidelity.cli_options import (
    PATH,
    Commands,
    alignment_facts,
    as_json_option,
    dossier_argument,
    examined,
    pair_arguments,
    print_aligned,
    print_json,
    progress,
    rewritten,
    screen_width,
)
from fidelity.cli_place import place_command


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="fidelity", message="%(prog)s %(version)s")
def main() -> None:
    """Judge a copyist by his copies of manuscripts that survive, and read his copies of lost ones.

    Originals and copies are compared letter by letter; from this come his habits, a blind test of
    what can be learned from them, and proposed readings for what is lost.

    Begin with `fidelity demo`, then `fidelity new`.
    """
    # Threads for large matrices take longer to start than all that is reckoned with them here.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")  # a screen without ꞅ must not end the run


@main.command("demo")
@click.argument("folder", metavar="[DIR]", type=PATH, default=Path("fidelity_demo"))
@as_json_option
def demo_command(folder: Path, as_json: bool) -> None:
    """Lay out the invented demo dossiers, and audit them.

    They go to DIR (fidelity_demo if none is named). Everything in them is made up: a rector, the
    manuscripts he copied, and the boat that sank with half of them. See what goes in and what comes out
    before you use texts of your own.

    \b
    Example:
      fidelity demo my_first_look
    """
    from fidelity import demo

    made = demo(folder, progress())
    from fidelity.apparatus.sentences import three_sentences
    from fidelity.apparatus.summary import summary
    from fidelity.apparatus.tables import paragraphs

    if as_json:
        print_json([{"folder": str(results), "summary": summary(audit)} for results, audit in made])
        return
    for results, audit in made:
        text = paragraphs(three_sentences(audit), screen_width())
        click.echo(f"{results}\n\n{text}\n\nTo read: {results / 'report.html'}\n")


@main.command("new")
@click.argument("folder", metavar="DIR", type=PATH)
@as_json_option
def new_command(folder: Path, as_json: bool) -> None:
    """Lay out a dossier for you to fill in.

    In DIR you get a folder for each sort of text and a file dossier.toml, in which every entry is
    explained beside the place where it is to be written.

    \b
    Example:
      fidelity new wickenby
    """
    from fidelity import new

    files = list(map(str, new(folder)))
    if as_json:
        print_json({"files": files})
    else:
        click.echo("\n".join(files))


@main.command("check")
@dossier_argument
@click.option(
    "--rewrite",
    type=PATH,
    metavar="DIR",
    help="Write every text back as it was read, to DIR, with a dossier.toml that names them.",
)
@as_json_option
def check_command(dossier: Path, rewrite: Path | None, as_json: bool) -> None:
    """Say what is wrong with a dossier and its texts.

    DOSSIER is its folder. Every fault is listed with file and line, and with what to do about it. If
    there is none, the texts are listed: their size, pages and hands, in what state their letters stand,
    which declared folds occur, and which letters no table knows. Letters are counted without blanks and
    punctuation.

    \b
    Example:
      fidelity check wickenby
    """
    from fidelity import check

    found = check(dossier, rewrite)
    from fidelity.apparatus.entries_check import check_facts
    from fidelity.apparatus.screen_check import check_screen

    files, how = rewritten(found, rewrite) if rewrite else ([], [])
    if as_json:
        print_json(check_facts(found) | {"rewritten": list(map(str, files)), "rewriting": how})
    else:
        click.echo(check_screen(found, screen_width(), files, how))


@main.command("compare")
@pair_arguments
@as_json_option
def compare_command(
    original: Path, copy: Path, folds: tuple[str, ...], profile: str, script: str, as_json: bool
) -> None:
    """Compare a copy with its original, without a dossier.

    Shows how often the copyist went wrong between ORIGINAL and COPY, and in what. Each is plain
    text with one line for each manuscript line, a table of parallel fields (.tsv, .csv, .xlsx, .ods), or
    XML (.xml: TEI, PAGE or ALTO). Letters that he writes in
    another form (s for ꞅ) are counted apart, as letterforms, unless --fold names the set they belong
    to: then they are no difference at all.

    \b
    Example:
      fidelity compare charter.txt wickenbys_copy.txt --fold insular --fold wynn
    """
    from fidelity import compare

    found = compare(original, copy, folds=folds, profile=profile, script=script)
    from fidelity.apparatus.entries import TABLES
    from fidelity.apparatus.screen import compare_screen

    if as_json:
        print_json(
            {name: TABLES[name].rows(found) for name in ("scores", "confusions", "patterns", "variants")}
        )
    else:
        click.echo(compare_screen(found, screen_width()))


@main.command("align")
@pair_arguments
@click.option("--width", type=click.IntRange(min=40), help="Letters to the line. [default: the screen's]")
@click.option(
    "--context",
    type=click.IntRange(min=0),
    default=4,
    show_default=True,
    help="Words shown before and after a difference; the rest of what is alike is shortened to ….",
)
@click.option("--check", is_flag=True, help="Also align stretches in full, without short cuts, and compare.")
@as_json_option
def align_command(
    original: Path,
    copy: Path,
    folds: tuple[str, ...],
    profile: str,
    script: str,
    width: int | None,
    context: int,
    check: bool,
    as_json: bool,
) -> None:
    """Show original and copy, letter above letter.

    Between a line of the ORIGINAL and that of the COPY a sign stands wherever they differ, with the
    places of both texts in the margin. Notes tell what was moved and where it now stands, which long
    stretches one text has alone, and where another alignment would be as good.

    \b
    Example:
      fidelity align charter.txt wickenbys_copy.txt --fold insular --context 2
    """
    from fidelity import align

    found = align(original, copy, folds=folds, profile=profile, script=script)
    told = examined(found, folds, check)
    if as_json:
        print_json(alignment_facts(found, told))
    else:
        print_aligned(found, told, width or screen_width(), context)


for _command in (
    audit_command,
    patterns_command,
    rule_command,
    hands_command,
    place_command,
    imported_command,
    attest_command,
    trial_command,
    decide_command,
    apply_command,
):
    main.add_command(_command)
