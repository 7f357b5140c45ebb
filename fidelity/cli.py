"""The commands: each parses, calls the library function of its name, and prints.

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
    from fidelity.apparatus.screen import paragraphs
    from fidelity.apparatus.sentences import three_sentences
    from fidelity.apparatus.summary import summary

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


@main.command("audit")
@dossier_argument
@click.option(
    "--out", type=PATH, required=True, help="The folder to write. An earlier audit in it is replaced."
)
@as_json_option
def audit_command(dossier: Path, out: Path, as_json: bool) -> None:
    """Judge a copyist; propose readings for what is lost.

    DOSSIER is a folder with a dossier.toml (see `fidelity new`). Writes tables, a summary and a page to
    read (report.html), all of them or none, and prints the gist: how he copied, how the blind test came
    out, the most probable proposals.

    \b
    Example:
      fidelity audit wickenby --out wickenby_results
    """
    from fidelity import audit
    from fidelity.apparatus.folder import check_out, write_audit
    from fidelity.apparatus.screen import audit_screen
    from fidelity.apparatus.summary import summary

    check_out(out)  # before the long work, not after it
    found = audit(dossier, progress())
    files = write_audit(found, out)
    if as_json:
        print_json(summary(found) | {"files": list(map(str, files))})
    else:
        click.echo(audit_screen(found, out, screen_width()))


@main.command("patterns")
@dossier_argument
@click.option(
    "--most", type=click.IntRange(min=1), metavar="N", help="Show at most N kinds of error. [default: all]"
)
@as_json_option
def patterns_command(dossier: Path, most: int | None, as_json: bool) -> None:
    """List the kinds of error to review, worst first.

    First come those that must be expected to have hurt the lost texts of a DOSSIER most. For each it is
    told how often he did it and where, who has seen the like elsewhere, what it would have done to the
    lost texts, at which of their places to look, and examples from the survivors. Nothing is proposed
    here, and no blind test is made: that does `fidelity audit`.

    \b
    Example:
      fidelity patterns wickenby --most 10
    """
    from fidelity import patterns

    found = patterns(dossier, progress())
    from fidelity.apparatus.entries import TABLES
    from fidelity.apparatus.screen_review import review_screen

    if as_json:
        rows = {name: TABLES[name].rows(found) for name in ("patterns", "habits", "circumstances")}
        print_json(rows | {"patterns": rows["patterns"][:most]})
    else:
        click.echo(review_screen(found, screen_width(), most))


@main.command("trial")
@dossier_argument
@as_json_option
def trial_command(dossier: Path, as_json: bool) -> None:
    """Make the blind test alone: how far to believe proposals.

    Of the survivors of a DOSSIER one at a time is kept out, the copyist is learned from the others,
    readings are proposed on the one kept out, and then its original is looked up.

    \b
    Example:
      fidelity trial wickenby
    """
    from fidelity import trial

    found = trial(dossier, progress())
    from fidelity.apparatus.entries_trial import trial_rows
    from fidelity.apparatus.screen import trial_screen
    from fidelity.apparatus.summary import trial_summary

    if as_json:
        print_json((trial_summary(found) or {}) | {"readings": trial_rows(found)})
    else:
        click.echo(trial_screen(found, screen_width()))


@main.command("apply")
@click.argument("out", type=PATH)
@click.option(
    "--at-least",
    type=click.FloatRange(0, 1),
    required=True,
    metavar="P",
    help="Put in every proposed reading at least this probable (0 to 1).",
)
@click.option("--to", type=PATH, required=True, help="The folder to write, new or empty.")
@as_json_option
def apply_command(out: Path, at_least: float, to: Path, as_json: bool) -> None:
    """Write the lost texts with proposed readings in them.

    OUT is the folder that `fidelity audit` wrote. Each text keeps its manuscript lines, and every
    change is listed in changes.csv: nothing is put in silently.

    \b
    Example:
      fidelity apply wickenby_results --at-least 0.8 --to wickenby_texts
    """
    from fidelity import apply

    files = apply(out, at_least, to)
    from fidelity.apparatus.applied import read_changes
    from fidelity.apparatus.screen import changes_screen

    changes = read_changes(to)
    if as_json:
        print_json({"files": list(map(str, files)), "changes": changes})
    else:
        click.echo(changes_screen(changes, files, screen_width()))
