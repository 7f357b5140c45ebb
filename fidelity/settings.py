"""Every number a user may change, in one frozen record, and the colophon that names them.

Each default says where it came from. Seeds and thresholds live here and nowhere else.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass


@dataclass(frozen=True)
class Settings:
    """How a run is done.

    Attributes:
        false_discovery: a confusion is systematic at this q or below (0.05: the level of
            Benjamini & Hochberg 1995, sec. 4).
        confidence: coverage of every interval, 0-1.
        systematic_words: a systematic confusion stands in at least so many different words
            (2: one word miswritten often is a habit with that word, not with the letter).
        report_from: proposals below this probability are not listed, 0-1.
        parallels: at most so many parallels and counterexamples are cited for a proposal.
        rival_from: rivals below this probability are not listed, 0-1.
        folds: the blind test is made in so many parts where survivors are fewer.
        beam: how many restorations of a line are kept at each letter.
        witness_errors_per_1000: wrong letters assumed of a witness that no survivor shows at work
            (5: between the careful and the careless of the trade; chosen, not measured).
        seed: for everything drawn at random.
        states_as_evidence: states of the originals' letters, such as "expanded", that count as
            evidence of what he had before him (none: what a transcriber restored or resolved is his
            judgement, and learning from it would be learning his habits).
    """

    false_discovery: float = 0.05
    confidence: float = 0.95
    systematic_words: int = 2
    report_from: float = 0.2
    parallels: int = 5
    rival_from: float = 0.05
    folds: int = 10
    beam: int = 24
    witness_errors_per_1000: float = 5.0
    seed: int = 1
    states_as_evidence: tuple[str, ...] = ()

    def colophon(self) -> dict[str, object]:
        """Give the settings by name, in order, as every output states them."""
        return asdict(self) | {"states_as_evidence": list(self.states_as_evidence)}
