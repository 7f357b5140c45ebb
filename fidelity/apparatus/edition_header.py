"""Write the header of an edition: witnesses, who is responsible for what, how it is encoded, cautions.

Arrives: an audit, and the collated witnesses of its lost texts. Leaves: the TEI header. Start reading at
``header_of_edition``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib.metadata import version
from itertools import chain
from xml.sax.saxutils import escape, quoteattr

from fidelity.apparatus.cautions import IN_ONE_LINE, cautions
from fidelity.apparatus.collated import CollatedText, Described
from fidelity.apparatus.concerns import persons_in
from fidelity.apparatus.edition_readings import CAUSES_TOLD, NOBODY_NAMED, PERSON, PROGRAM
from fidelity.apparatus.tei_letters import hand_id
from fidelity.apparatus.tei_names import TeiNames
from fidelity.judge import Audit
from fidelity.sources.tradition import ground_of
from fidelity.witnesses.tei_write import MAJOR

# What the encoding means, in the order of the elements that say so.
_EDITORIAL = {
    "correction": (
        "The lemma is what the copy transmits, letter for letter. Nothing is emended silently: where the"
        " editor adopted a reading it is the lemma, with type adopted, and the copy's own reading follows."
        " Where no witness has it, it has his @resp; where one has, it has that witness's @wit, and the note"
        " of type decision has his @resp and points at it. Readings without @wit are in no witness: those of"
        " the program have its @resp; with subtype letter a letter alone is proposed, and the rest of the"
        " word is not settled. What a witness has and the program proposes, ope codicum, has a note of type"
        " proposed that points at the witness's reading. @cert is the probability that the lost original read"
        " so: ope ingenii where the blind test allows a figure (where it allows a range only, the note on the"
        " reading gives that); ope codicum as the witnesses bear it out, for the blind test tries no"
        " witnesses. @n of what the program says is the row in readings.csv. Notes of type suspect mark"
        " places that are corrupt more probably than not, without a reading, @cert being the probability of"
        " that; notes of type decision give what the editor decided, crux where a place is past mending."
    ),
    "normalization": (
        "Letters are those of the transcripts in Unicode, normalization form C. No letterform is levelled;"
        " witnesses that differ in a letterform alone stand apart."
    ),
    "hyphenation": (
        "A line beginning with break no stands inside a word; @rend gives the mark at the end of the line"
        " before, soft-hyphen where the transcript has that sign."
    ),
    "segmentation": (
        "Words that all witnesses have that are extant stand outside app. lb and pb without @edRef are those"
        " of the copy; those of another witness name it. A blank or line end is one blank; blanks that are"
        " letters are space elements, and space with unit tab parts the fields of an entry. Where a witness"
        " breaks off or begins again an app holds lacunaStart, lacunaEnd, witStart or witEnd. Words that a"
        " witness has elsewhere are left out at one place and added at another."
    ),
    "interpretation": (
        "metamark is a mark of the copyist's own, of what he could not read, doubted or vouched for, as he"
        " wrote it; @source names the witness, @n tells how many letters of the text stand in its place."
    ),
}


def header_of_edition(audit: Audit, texts: Sequence[CollatedText], names: TeiNames) -> Iterator[str]:
    """Give the header, line by line.

    Args:
        audit: with cautions, settings and inputs.
        texts: the lost texts with their witnesses.
        names: the xml:ids of the document.
    """
    yield '<teiHeader xml:lang="en">'
    yield "<fileDesc>"
    yield from _title(audit, texts, names)
    yield f"<publicationStmt><p>Unpublished working edition. {escape(IN_ONE_LINE)}</p></publicationStmt>"
    yield "<notesStmt>"
    yield from (f'<note type="caution">{escape(one)}</note>' for one in cautions(audit))
    yield from (f'<note type="run">{escape(one)}</note>' for one in audit.notes)
    yield "</notesStmt>"
    yield "<sourceDesc>"
    yield from chain.from_iterable(_witnesses(text, names) for text in texts)
    yield from _inputs(audit)
    yield "</sourceDesc>"
    yield "</fileDesc>"
    yield from _encoding(audit)
    yield "<profileDesc>"
    yield "<handNotes>"
    yield from chain.from_iterable(_hands(text, names) for text in texts)
    yield "</handNotes>"
    yield "</profileDesc>"
    yield "</teiHeader>"


def _title(audit: Audit, texts: Sequence[CollatedText], names: TeiNames) -> Iterator[str]:
    """Give the title, and who is responsible for what."""
    called = ", ".join(f"{text.name} ({text.id})" if text.name else text.id for text in texts)
    yield f"<titleStmt><title>{escape(called)}: the transmitted text with proposed readings</title>"
    yield _responsible(
        names.name(PROGRAM), "proposed readings, probabilities, causes", f"{PROGRAM} (program)"
    )
    for who, what in persons_in(audit):
        yield _responsible(names.name(PERSON, who), what, who or NOBODY_NAMED)
    yield "</titleStmt>"


def _responsible(name: str, what: str, who: str) -> str:
    return f'<respStmt xml:id="{name}"><resp>{escape(what)}</resp><name>{escape(who)}</name></respStmt>'


def _witnesses(text: CollatedText, names: TeiNames) -> Iterator[str]:
    """Give the witnesses of one text, and who was copied from whom."""
    head = "Witnesses of " + ", ".join(filter(None, [text.id, text.name]))
    yield f'<listWit corresp="#{names.name(text.id)}"><head>{escape(head)}</head>'
    for one in text.described:
        name = names.name(text.id, one.siglum)
        told = " ".join(_told(text, one, names))
        yield f'<witness xml:id="{name}" n={quoteattr(one.siglum)}>{told}</witness>'
    yield "</listWit>"


def _told(text: CollatedText, one: Described, names: TeiNames) -> Iterator[str]:
    """Say of a witness what it is, of when, where it was copied from another, how it was given."""
    if one.name:
        yield f'<name type="witness">{escape(one.name)}</name>.'
    yield escape(one.what)
    if one.date:
        yield f"<date>{escape(one.date)}</date>."
    for stretch in one.dependence:
        target = names.name(text.id, stretch.source)
        known = any(other.siglum == stretch.source for other in text.described)
        aims = f' target="#{target}"' if known else ""
        source = f'<ref type="copied_from"{aims}>{escape(stretch.source)}</ref>'
        yield f"Copied from {source} ({escape(ground_of(stretch))})."
    if one.witness.language:
        yield f'Language: <term type="language">{escape(one.witness.language)}</term>.'
    if one.witness.fields:
        fields = "".join(f"<item>{escape(name)}</item>" for name in one.witness.fields)
        yield f'Its fields: <list type="fields">{fields}</list>'
    if one.witness.file:
        yield f"Transcript: <idno>{escape(one.witness.file)}</idno>."
    if one.refused:
        yield f"Not set beside the others: {escape(one.refused)}."


def _inputs(audit: Audit) -> Iterator[str]:
    """Give the files that were read, each with its digest."""
    if audit.dossier.inputs:
        yield '<list type="inputs">'
        for file, digest in sorted(audit.dossier.inputs):
            yield f"<item>{escape(file)} <idno>SHA-256 {digest}</idno></item>"
        yield "</list>"


def _encoding(audit: Audit) -> Iterator[str]:
    """Say by which program it was made and how it is encoded."""
    yield "<encodingDesc>"
    yield f'<appInfo><application ident="{PROGRAM}" version="{version(PROGRAM)}">'
    yield f"<label>{PROGRAM}</label>"
    settings = audit.dossier.settings.colophon().items()
    yield f"<desc>{escape('; '.join(f'{name} {value}' for name, value in settings))}</desc>"
    yield "</application></appInfo>"
    yield "<editorialDecl>"
    for element, said in _EDITORIAL.items():
        yield f"<{element}><p>{escape(said)}</p></{element}>"
    yield "</editorialDecl>"
    yield '<variantEncoding method="parallel-segmentation" location="internal"/>'
    yield "<classDecl><taxonomy><desc>What @cause says of a reading: how the copy came by what it has.</desc>"
    for cause, told in CAUSES_TOLD.items():
        yield f'<category n="{cause}"><catDesc>{cause}: {escape(told)}</catDesc></category>'
    yield "</taxonomy></classDecl>"
    yield "</encodingDesc>"


def _hands(text: CollatedText, names: TeiNames) -> Iterator[str]:
    """Give the hands of each witness, the main one first."""
    for siglum, witness in zip(text.collation.sigla, text.collation.witnesses, strict=True):
        name = names.name(text.id, siglum)
        script = f" script={quoteattr(witness.script)}" if witness.script else ""
        for at, hand in enumerate(witness.hand_names):
            about = f' scope="{MAJOR}"{script}' if at == 0 else ""
            yield f'<handNote xml:id="{hand_id(name, at)}" n={quoteattr(hand)} corresp="#{name}"{about}/>'
