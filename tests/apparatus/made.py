"""An audit made by hand: small, and every figure in it known.

Arrives: nothing. Leaves: an ``Audit`` of one survivor and one lost text. Start reading at
``made_audit``.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from fidelity.audit import Audit
from fidelity.confusions.count import AnswerCounts
from fidelity.confusions.drift import Course
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.settings import Settings
from fidelity.terms import (
    Alignment,
    Band,
    BrierParts,
    Cause,
    Circumstance,
    CircumstanceRate,
    Confusion,
    Drift,
    Flagged,
    FlagRate,
    Forecast,
    Habit,
    Hands,
    InPrint,
    Limits,
    Locus,
    MarkKind,
    MethodScore,
    Mistake,
    PageRate,
    Pattern,
    Phenomenon,
    Precision,
    ProposedReading,
    Recheck,
    Rescued,
    RulePlace,
    RuleUse,
    Score,
    Shift,
    StepEvidence,
    Tendency,
    Trial,
    TrialReading,
    Undoing,
    Undone,
    Unseen,
    UnseenShare,
    Variant,
)
from fidelity.terms.attestation import AttestedReading
from fidelity.terms.copies import Beside, CopiesFound, CopyPlace, CopyRate, MadeFrom
from fidelity.terms.hands import (
    DONE,
    LANGUAGE,
    OPENING,
    REPRODUCED,
    Candidate,
    Layer,
    LayerShare,
    Mixture,
    Search,
    Tried,
)
from fidelity.terms.parallels import (
    CheckKind,
    CoupledChange,
    CoupledRate,
    LostPair,
    NumeralRate,
    OutsideCheck,
    PairKind,
    Parallels,
)
from fidelity.trial.forecast import Outlook
from fidelity.trial.proofreading import Proofreading
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.read import read_witness
from tests.apparatus.made_imported import made_imported

ORIGINAL = "[fol. 1r]\nþiꞅ ꞅynꝺon þa\nlanꝺᵹemæꞃa ꞇo"
COPY = "[fol. 1r]\nþis ryndon þa\nland gemæra to"
LOST = "[fol. 3v]\nIc wær on fyre\nfæste neaht\nnestig <b>&amp;</b>"
FOLDS = Folds({"ꞅ": "s", "ꞃ": "r", "ꝺ": "d", "ᵹ": "g", "ꞇ": "t"})


def made_dossier() -> Dossier:
    """Give a dossier with one survivor, E, and one lost text, X."""
    original = read_witness(ORIGINAL, siglum="E", script="insular", language="ang")
    copy = read_witness(COPY, siglum="E")
    lost = read_witness(LOST, siglum="X", script="insular", language="ang")
    return Dossier(
        folder=Path("wickenby"),
        copyist_name="Erasmus Wickenby",
        copyist_dates="1698-1757",
        folds=FOLDS,
        survivors=(Survivor("E", original, copy),),
        lost=(LostText("X", replace(lost, file="X/copy.txt")),),
        witnesses=(),
        references=(),
        settings=Settings(),
        inputs=(("E/original.txt", "0" * 64), ("E/copy.txt", "1" * 64)),
        notes=("[[rule]] is kept but not used yet",),
    )


def made_copies() -> CopiesFound:
    """Give two places at which a fair copy differs, and what they come to."""
    places = (
        CopyPlace(
            *("E", Locus("E", "1r:1", 2), "ꞅynꝺon", "ryndon", "syndon", "E/fair.txt"),
            *(Beside.FIRST_WRONG, "substitution", "letter_confusion"),
        ),
        CopyPlace("X", Locus("X", "1", 2), "", "wær", "wæs", "X/fair.txt", Beside.DIFFER),
    )
    mended = CopyRate(
        "E", "E/fair.txt", "errors of the first copy mended in the other", 1, 2, 0.1, 0.9, "Jeffreys"
    )
    shared = CopyRate(
        *("all", "E/fair.txt", "errors of the first copy shared by the other", 1, 2, 0.1, 0.9, "Jeffreys"),
        *(0.1, 0.0975, MadeFrom.UNDECIDED),
    )
    return CopiesFound(places, (mended, shared), ("E/fair.txt: undecided: shares 1 of 2 errors",))


def made_alignment(dossier: Dossier) -> Alignment:
    """Give the alignment of E: one letter changed, one division put in, everything else kept."""
    survivor = dossier.survivors[0]
    steps = [(0, 4, 0, 4, 0), (4, 5, 4, 5, 1), (5, 18, 5, 18, 0), (18, 18, 18, 19, 1), (18, 27, 19, 28, 0)]
    return Alignment(survivor.original, survivor.copy, np.array(steps, dtype=np.int32), 12.5, 2)


def made_variants() -> tuple[Variant, ...]:
    """Give the two differences of E."""
    return (
        Variant(
            number=1,
            text="E",
            locus=Locus("E", "1r:1", 2),
            original="ꞅ",
            copy="r",
            original_words="ꞅynꝺon",
            copy_words="ryndon",
            original_span=(4, 5),
            copy_span=(4, 5),
            phenomenon=Phenomenon.SUBSTITUTION,
            cause=Cause.LETTER_CONFUSION,
            other_causes=(Cause.ASSIMILATION, Cause.UNDETERMINED),
            makes_word=False,
            pairs=(("ꞅ", "r"),),
        ),
        Variant(
            number=2,
            text="E",
            locus=Locus("E", "1r:2", 1),
            original="",
            copy=" ",
            original_words="lanꝺᵹemæꞃa",
            copy_words="land gemæra",
            original_span=(18, 18),
            copy_span=(18, 19),
            phenomenon=Phenomenon.DIVISION,
            alignment_doubt=True,
        ),
    )


def made_confusions() -> tuple[Confusion, ...]:
    """Give a systematic confusion that explains few of the letters written, and one letter left out."""
    places = (Locus("E", "1r:1", 2), Locus("E", "1r:2", 1))
    return (
        Confusion("ꞅ", "r", "s→r", 2, 9, 0.03, 0.6, 0.1, 1.5e-5, 0.0004, True, 1 / 3, places),
        Confusion("n", "", "n→", 1, 40, 0.001, 0.12, 0.7, 0.4, 1.0, False, 0.0, places[:1]),
    )


def made_rules() -> tuple[tuple[RuleUse, ...], tuple[RulePlace, ...]]:
    """Give one rule, s→r, with what became of it, and two places where it was followed and was not."""
    use = RuleUse("s→r", "X", "", 4, 1, 1, 1, 0, 1, 0, 9, 2, 6, 0.05, 0.55, ("E 1r:1.2 ryndon",))
    narrow = replace(use, where="at the end of a word", places=1, possible=0, would_be_known=0, word_lost=0)
    place = RulePlace("s→r", "X", "in wær", Locus("X", "3v:1", 2), "wær", "wæs", "Ic wær on", 0.71)
    left = replace(place, locus=Locus("X", "3v:2", 1), probability=None, why="both are known words")
    return (use, narrow), (place, left)


def made_parallels() -> Parallels:
    """Give what is known of numerals and a glossary: a rate, a coupled change, pairs and a total."""
    number, entry = PairKind.NUMBER, PairKind.ENTRY
    pair = LostPair(
        number, "X", Locus("X", "3v:1", 1), (0, 10), ".iu. feower", ".ui. syx", 0.55, "feower → syx",
        agrees=True,
        may_be=(".iii. þry", ".ui. syx"), evidence=("the total asks for it",), caution="no proof", reading=1,
    )  # fmt: skip
    suspect = replace(
        pair, kind=entry, transmitted="pinus · pintreow", proposed="", probability=None, moves="",
        agrees=None, undecided=True, may_be=("pirus · pyꞃiᵹe",), reading=0, seen=(1, 1),
    )  # fmt: skip
    total = OutsideCheck(
        CheckKind.TOTAL, "X", Locus("X", "3v:2", 5), (0, 30), "ealra .uiiii. = 9", ".iii. + .iu., together 7",
        holds=False, mends=("X 3v:1.1 .iu. → .ui. (6)",), mended=(((0, 4), ".ui."),), caution="perhaps",
    )  # fmt: skip
    return Parallels(
        coupled=(CoupledChange(number, "E", Locus("E", "1r:1", 1), ".ui. ꞅyx", ".iu. feower", True, "6, 4"),),
        rates=(CoupledRate(number, 4, 1, 1, 0.15, 1.0), CoupledRate(entry, 14, 8, 2, 0.06, 0.59)),
        numerals=NumeralRate(6, 2, 0.06, 0.76, ("E 1r:1.1 .u. → .ii.",), 4, 3, 1, 1),
        pairs=(pair, suspect),
        checks=(total,),
    )


def made_shifts() -> tuple[Shift, ...]:
    """Give a spelling that has shifted, one that has not, and the share of words that are new."""
    found = Shift(
        "X", "spelling shifted", "þ→th", 0.24, 0.87, p_value=0.0001, q_value=0.001, found=True, factor=21.2,
        example="þis / this", withheld=3,
    )  # fmt: skip
    other = replace(found, what="s→r", share=0.1, survivor_share=0.1, p_value=0.9, q_value=0.9, found=False)
    return found, other, Shift("X", "word unseen in his other copies", "", 0.4, low=0.3, high=0.5)


def made_readings() -> tuple[ProposedReading, ...]:
    """Give three proposals for X: two for the same letters, and one that parts no more at a line end."""
    first = ProposedReading(
        number=1,
        text="X",
        locus=Locus("X", "3v:1", 2),
        copy_span=(3, 6),
        transmitted="wær",
        proposed="wæs",
        probability=0.7123456789,
        steps=("s→r",),
        parallels=("E 1r:1.2", "E 1r:2.1"),
        counterexamples=("E 1r:1.1",),
        alternatives=(("wær", 0.25), ("wær;", 0.05)),
        same_rule_elsewhere=("X 3v:1.4 fyre → fyse (0.10)",),
        count=2,
        chances=9,
        low=0.05,
        high=0.55,
        evidence=(StepEvidence("s→r", 2, 9, 0.05, 0.55, ("E 1r:1.2", "E 1r:2.1"), ("E 1r:1.1",)),),
        context="wær",
        passage="þæt he wær on þam",
        tried=60,
        tried_right=42,
        tried_kind="misreading",
        probability_low=0.6,
        probability_high=0.8,
        borne_out=True,
    )
    untried = replace(
        first, tried=0, tried_right=0, probability_low=0.0, probability_high=1.0, borne_out=False
    )
    rival = replace(
        untried, number=2, single=True, copy_span=(5, 6), transmitted="r", proposed="n", probability=0.3
    )
    division = replace(
        untried,
        number=3,
        locus=Locus("X", "3v:2", 2),
        copy_span=(21, 33),
        transmitted="neaht nestig",
        proposed="neahtnestig",
        probability=0.55,
        kind="division",
        tried=10,
        tried_right=6,
        tried_kind="",
        probability_low=0.304,
        probability_high=0.841,
    )
    return first, replace(rival, verdict="possible", kind="letter"), division


def made_trial() -> Trial:
    """Give a blind test with two proposals, one of them right, and four wrong places."""
    right = TrialReading("E", Locus("E", "1r:1", 2), "ryndon", "synꝺon", "synꝺon", 0.75, True, False)
    wrong = TrialReading(
        "E", Locus("E", "1r:2", 1), "r", "s", "gemæra", 0.55, False, True, "letter", "gemæra", "E 1r"
    )
    levels = (Precision(0.5, 2, 1, 0.1, 0.9, 4, 1), Precision(0.8, 0, 0, 0.0, 1.0, 4, 0))
    sure = Precision(0.9, 0, 0, 0.0, 1.0, 4, 0)
    low, high = Band(0.5, 0.7, 1, 0.55, 0.0, 0.0, 0.5, 4, 0), Band(0.7, 1.0, 1, 0.75, 1.0, 0.2, 1.0, 4, 1)
    return Trial(
        left_out="lines",
        rounds=2,
        readings=(right, wrong),
        precisions=(*levels, sure),
        bands=(low, high),
        brier=0.1825,
        wrong_letters=2,
        wrong_letters_left=1,
        kind_precisions=(
            Precision(0.5, 1, 1, 0.2, 1.0, 3, 1, "misreading"),
            Precision(0.5, 1, 0, 0.0, 0.8, 0, 0, "letter"),
        ),
        kind_bands=(replace(high, kind="misreading"), replace(low, kind="letter")),
        brier_parts=(
            BrierParts("all", 2, 1, 0.1825, 0.1825, 0.25, 0.25, 0.0, 0.0),
            BrierParts("misreading", 1, 1, 0.0625, 0.0625, 0.0, 0.0, 0.0, 0.0),
            BrierParts("letter", 1, 0, 0.3025, 0.3025, 0.0, 0.0, 0.0, 0.0),
        ),
        mistakes=(Mistake(wrong, 3, ("he wrote r for s in 2 of 9 chances", "“<b>” stands nowhere")),),
        unseen=(
            Unseen("E", Locus("E", "1r:2", 3), "to", "", "misreading", good_words=False),
            Unseen("E", Locus("E", "1r:2", 2), "land", "lanꝺ", "misreading", good_words=True),
        ),
        unseen_shares=(
            UnseenShare("all", 4, 2, 0.12, 0.88, 1),
            UnseenShare("misreading", 4, 2, 0.12, 0.88, 1),
        ),
        methods=(
            MethodScore("as transmitted", None, 0, 0, 0.0, 1.0, 4, 0, 2),
            MethodScore("word memory", 0.5, 1, 1, 0.2, 1.0, 4, 1, 1),
            MethodScore("fidelity", 0.5, 2, 1, 0.1, 0.9, 4, 1, 1),
        ),
    )


def made_course() -> Course:
    """Give two tests of drift, one of which finds something, and one page."""
    trend = "Cochran-Armitage trend, pages permuted"
    found = Drift(
        "E", "letters", "pages", trend, 3.5, 0.0001, 0.0002, True, 40, 400, 0.007, 0.013, "1r to 20v"
    )
    other = replace(found, what="division", statistic=-0.2, p_value=0.8, q_value=0.8, found=False)
    return Course((PageRate("E", "1r", "letters", 1, 45, 0.001, 0.1),), (found, other))


def made_outlook() -> Outlook:
    """Give forecasts for X, one of them under an assumption, and E predicted from the others."""
    binomial = Limits(2, 5, 1, 7)
    words = Forecast(
        text="X",
        measure="words",
        chances=30,
        expected=3.5,
        limits=Limits(1, 7, 0, 12),
        binomial=binomial,
        assumed_factor=None,
        basis="survivors and pages",
        seen=5,
        survivors=3,
        pages=8,
        judged=4,
        words=1,
    )
    none = replace(
        words, measure="division", limits=None, judged=0, words=0, basis="no limits: too few pages"
    )
    assumed = replace(words, assumed_factor=2.0)
    check = replace(words, text="E", actual=6)
    return Outlook((words, none, assumed), (check, replace(check, limits=None)))


def made_undoing() -> Undoing:
    """Give what undoing ꞅ → r would do: one unknown word becomes known, one known word another."""
    places = (
        Undone(Locus("X", "1", 2), "rynd", "synd", is_word=False),
        Undone(Locus("X", "2", 1), "rib", "sib", is_word=True),
    )
    return Undoing(unknown_to_known=1, known_to_known=1, looks=places)


def made_habit() -> Habit:
    """Give ꞅ → r in full: it happens at the beginning of words, and is in print."""
    place = Circumstance.PLACE
    return Habit(
        confusion=made_confusions()[0],
        words=("syndon", "se"),
        rates=(
            CircumstanceRate("ꞅ", "r", place, "first", 2, 4, 2, 0.4, 0.1, 0.8, 0.01, 0.03, Tendency.MORE),
            CircumstanceRate("ꞅ", "r", place, "last", 0, 5, 0, 0.05, 0.0, 0.3, 0.2, 0.4),
        ),
        in_print=(
            InPrint("C010", "insular", "ꞅ", "r", "one-way", "a handbook", "p. 1", "memory", True),
            InPrint("C011", "caroline", "s", "r", "pair", "another", "", "read", False),
        ),
    )


def made_hands() -> Hands:
    """Give one addition copied as text, one candidate in X, one word of mixed letterforms, what was tried."""
    layer = Layer(
        text="E",
        locus=Locus("E", "1r:1", 3),
        last_locus=Locus("E", "1r:1", 4),
        original="i. uetonica",
        copy="i. uetonica",
        hand="h2",
        layer="added",
        done=REPRODUCED,
        how="",
        same=True,
        script="insular",
        language="ang",
        after="ꞅynꝺon",
        copy_locus=Locus("E", "1", 3),
        span=(12, 23),
        copy_span=(12, 23),
        page="E 1r",
    )
    shares = [
        LayerShare(text, hand, "added", done, int(done == REPRODUCED), 1, 0.1, 0.9, "Jeffreys")
        for text, hand in (("E", "h2"), ("all", ""))
        for done in DONE
    ]
    tried = Tried((OPENING,), 3, 2, 0.2, 0.9)
    candidate = Candidate(
        *("X", True, Locus("X", "3v:3", 1), None, "<b>&amp;</b>", (34, 46), (OPENING,)),
        *(
            ("begins with “<b>”, as 2 additions begin (E 1r:1.3)",),
            "all of its line",
            "nestig <b>&amp;</b>",
            tried,
        ),
    )
    search = Search("X", True, OPENING, True, "words that begin as additions do: “<b>”", 8, 1)
    not_looked = Search("X", True, LANGUAGE, False, "no other language to compare with", 8, 0)
    mixture = Mixture("E", False, Locus("E", "1r:1", 1), "þiꞅs", ("s",), ("ꞅ",), False)
    return Hands(
        layers=(layer,),
        shares=tuple(shares),
        candidates=(candidate, replace(candidate, lost=False, text="E", tried=None)),
        mixtures=(mixture,),
        searches=(search, not_looked),
        tried=(tried,),
        left_out="survivor",
        additions=3,
        additions_found=2,
    )


def made_attestation() -> tuple[AttestedReading, ...]:
    """Give two readings of one place: one of two lines, one of the copy and what was copied from it."""
    place, told = ("X", "X 9r:1.2"), "K: 5 wrong letters per 1,000 (assumed)"
    without = (("T", "copied from C (declared)"),)
    return (
        AttestedReading(*place, "wæs", ("K", "W"), ("K", "W"), (), "s. xi", 835000.0, "wær", told),
        AttestedReading(*place, "wær", ("C", "T"), ("C",), without, "1744", 1.2e-6, "wæs", told),
    )


def made_audit() -> Audit:
    """Give an audit of all these."""
    dossier = made_dossier()
    method = "Jeffreys"
    return Audit(
        dossier=dossier,
        alignments=(made_alignment(dossier),),
        variants=made_variants(),
        counts=AnswerCounts({}, {}, frozenset(), {}, {}),
        confusions=made_confusions(),
        scores=(
            Score("E", "letters", 1, 45, 1 / 450, 0.1, method),
            Score("E", "eye_skip", 0, 0, 0.0, 1.0, method),
            Score("all", "letters", 1, 45, 1 / 450, 0.1, method),
            Score("all", "eye_skip", 0, 0, 0.0, 1.0, method),
        ),
        patterns=(
            Pattern(
                "ꞅ → r",
                Phenomenon.SUBSTITUTION,
                Cause.LETTER_CONFUSION,
                2,
                9,
                0.03,
                0.6,
                1.25,
                ("E 1r:1.2",),
                "ꞅynꝺon → ryndon",
                places_in_lost=7,
                examples=("E 1r:1.2 ꞅynꝺon → ryndon",),
                judged=2,
                made_word=1,
                undoing=made_undoing(),
                systematic=True,
                letters=("ꞅ", "r"),
            ),
            Pattern("words divided", Phenomenon.DIVISION, Cause.UNDETERMINED, 1, 0, 0.0, 1.0, None, (), ""),
        ),
        readings=made_readings(),
        rechecks=(
            Recheck(
                *("E", Locus("E", "1r:1", 2), "ꞅynꝺon", "ryndon", "ꞅ→r", 2, True),
                *("without it it is no longer systematic", 1.5, Locus("E", "1", 2), "1r"),
            ),
        ),
        rescued=(Rescued("E", Locus("E", "1r:2", 1), "[wæꞅ]", "wæs", "restored", True, Locus("E", "2", 1)),),
        copies=made_copies(),
        flagged=(
            Flagged(
                "E", Locus("E", "1r:1", 2), MarkKind.DOUBT, "(?)", (4, 10), "ryndon", "synðon", right=True
            ),
            Flagged("X", Locus("X", "4r:2", 1), MarkKind.UNREAD, "..", (18, 20), "fæ▯▯e", shown=2),
        ),
        flag_rates=(FlagRate("queried words that are wrong", 1, 1, 0.15, 1.0, method),),
        rules=made_rules()[0],
        rule_places=made_rules()[1],
        shifts=made_shifts(),
        parallels=made_parallels(),
        imported=made_imported(),
        trial=made_trial(),
        course=made_course(),
        outlook=made_outlook(),
        proofread=(Proofreading("E", 45, 3, 2, 1, 2.0),),
        skipped=("modernised: needs a table of modern word forms",),
        notes=("a single survivor: the blind test leaves out lines of it in turn",),
        habits=(made_habit(),),
        hands=made_hands(),
        attestation=made_attestation(),
    )
