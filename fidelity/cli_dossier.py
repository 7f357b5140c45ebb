"""The commands that judge a whole dossier: audit, patterns, trial, and what is done with an audit.

Arrives: the words of a command line. Leaves: text or JSON on the standard output. Start reading at
``audit_command``. As in ``cli.py``, nothing heavy is imported before it is needed.
"""

from __future__ import annotations

from pathlib import Path

import click

from fidelity.cli_options import PATH, as_json_option, dossier_argument, print_json, progress, screen_width


@click.command("audit")
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


@click.command("patterns")
@dossier_argument
@click.option(
    "--most", type=click.IntRange(min=1), metavar="N", help="Show at most N kinds of error. [default: all]"
)
@as_json_option
def patterns_command(dossier: Path, most: int | None, as_json: bool) -> None:
    """List the kinds of error to review, worst first.

    First come those that must be expected to have hurt the lost texts of a DOSSIER most. For each it is
    told how often he did it and where, parallels elsewhere, what it would have done to the lost texts, at
    which of their places to look, and examples from the survivors. Nothing is proposed
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
        rows = {name: TABLES[name].rows(found) for name in ("patterns", "look_at", "habits", "circumstances")}
        print_json(rows | {"patterns": rows["patterns"][:most]})
    else:
        click.echo(review_screen(found, screen_width(), most))


@click.command("rule")
@dossier_argument
@click.argument("original")
@click.argument("copy")
@click.option(
    "--where",
    metavar="KIND=VALUE",
    default="",
    help="Only there: place=first (inside, last, alone), before=…, after=…, word=…, script=…, language=… or"
    " text=….",
)
@as_json_option
def rule_command(dossier: Path, original: str, copy: str, where: str, as_json: bool) -> None:
    """Look at one rule by itself.

    By the survivors of a DOSSIER: he wrote COPY for ORIGINAL. ORIGINAL is the letter or letters of the
    originals, COPY what he wrote for them ("" for nothing). Told are how often he did it out of how many
    chances, under which circumstances more and less often, every place where he did, where he copied the
    same right, parallels in print, and what undoing it would do to the words of the lost texts.

    \b
    Example:
      fidelity rule wickenby ꞅ r --where after=ꞇ
    """
    from fidelity import rule
    from fidelity.apparatus.screen_rule import rule_row, rule_screen

    found, confidence = rule(dossier, original, copy, where, progress())
    if as_json:
        print_json(rule_row(found))
    else:
        click.echo(rule_screen(found, confidence, screen_width()))


@click.command("trial")
@dossier_argument
@click.option(
    "--out", type=PATH, help="A folder to write: a page to read (trial.html), and every table as CSV."
)
@click.option("--without-decisions", is_flag=True, help="Leave aside what you decided in decisions.csv.")
@as_json_option
def trial_command(dossier: Path, out: Path | None, without_decisions: bool, as_json: bool) -> None:
    """Make the blind test alone: how far to believe proposals.

    Of the survivors of a DOSSIER one at a time is kept out, the copyist is learned from the others,
    readings are proposed on the one kept out, and then its original is looked up. Told are how often
    proposals were right and how much was found again, by probability and by kind; the worst mistakes with
    the reasons; what went unseen; and, beside it, what simple methods do.

    \b
    Example:
      fidelity trial wickenby --out wickenby_trial
    """
    from fidelity import trial

    found = trial(dossier, progress(), out=out, without_decisions=without_decisions)
    from fidelity.apparatus.entries_trial import trial_rows
    from fidelity.apparatus.screen_trial import trial_screen
    from fidelity.apparatus.summary import trial_summary

    if as_json:
        print_json((trial_summary(found) or {}) | {"readings": trial_rows(found)})
        return
    click.echo(trial_screen(found, screen_width()))
    if out is not None:
        click.echo(f"\nAll of it, and more: {out}\nTo read: {out / 'trial.html'}")


@click.command("apply")
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

    OUT is the folder that `fidelity audit` wrote. Each text keeps its manuscript lines, the text as
    transmitted stands beside it, and every change is listed in changes.csv: nothing is put in silently.
    Readings you adopted are put in whatever their probability; places you kept, or gave up as past mending,
    stay as transmitted: they are no changes, and are named apart.

    \b
    Example:
      fidelity apply wickenby_results --at-least 0.8 --to wickenby_texts
    """
    from fidelity import apply

    files = apply(out, at_least, to)
    from fidelity.apparatus.applied import left_alone, read_changes
    from fidelity.apparatus.screen import changes_screen, left_alone_sentence

    changes, left = read_changes(to), left_alone(out)
    if as_json:
        print_json({"files": list(map(str, files)), "changes": changes, "as_transmitted": left})
        return
    click.echo(changes_screen(changes, files, screen_width()))
    if left:
        click.echo("\n" + left_alone_sentence(left, screen_width()))


@click.command("decide")
@dossier_argument
@click.argument("locus")
@click.argument("decision")
@click.argument("value", default="")
@click.option("--reason", required=True, metavar="TEXT", help="Why you decide so.")
@click.option("--who", required=True, metavar="NAME", help="Who decides.")
@click.option(
    "--transmitted", default="", metavar="WORDS", help="The copy's words, if not those that answer now."
)
@as_json_option
def decide_command(dossier: Path, as_json: bool, **wanted: str) -> None:
    """Write down what you decide of a place.

    LOCUS is text and place as printed, "X 1.2"; of several words the first and the last, "X 1.2-1.4".
    DECISION is, for a lost text, adopted (VALUE: the reading), kept (as transmitted), open or crux; for a
    survivor pair (VALUE: the words of the original that answer the copy's), not_his (no error of the
    copyist's) or cause (VALUE: the cause); of either, withdrawn (what was decided is taken back). You are
    told what will change; what would change nothing is refused. It is kept in decisions.csv in the DOSSIER,
    with the words that stand there and the date, and is applied at every run; if other words come to stand
    there, you are told and it is not used. What you decided of the same place before, or take back, is moved
    to decisions_earlier.csv.

    \b
    Example:
      fidelity decide wickenby "X 7.1" adopted sece --reason "sense" --who "E. Ditor"
    """
    from fidelity import decide

    made = decide(dossier, progress=lambda _: None, **wanted)  # told below, once it is written
    one = made.decision
    if as_json:
        from dataclasses import asdict

        said = {"replaced": list(made.replaced), "changes": made.changes, "withdrawn": made.withdrawn}
        row = asdict(one) | {"decision": str(one.ruling)} | said
        print_json({name: cell for name, cell in row.items() if name not in ("ruling", "line")})
        return
    for change in made.changes:  # now that it is written: what fails changes nothing
        click.echo(f"Changes: {change}.")
    words = f"{one.original} : {one.transmitted}" if one.original else one.transmitted
    ruling = "withdrawn" if made.withdrawn else f"{one.ruling} {one.value}".rstrip()
    click.echo(f"{one.text} {one.locus} ({words}): {ruling}")
    if made.replaced:
        click.echo("What was decided of it before stands in decisions_earlier.csv.")
