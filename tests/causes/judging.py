"""Judge a pair of texts with what a test says is known of the copyist.

Arrives: two texts. Leaves: the variants with their causes. Start reading at ``judged``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fidelity.alignment.align import align_witnesses
from fidelity.causes.coupled import entries_of
from fidelity.causes.decide import decide
from fidelity.causes.facts import Facts
from fidelity.terms import Cause, Variant, Witness
from fidelity.variants.collect import collect
from fidelity.variants.layers import with_layers
from fidelity.variants.places import places_of
from fidelity.witnesses.folds import load_folds
from fidelity.witnesses.read import read_witness


def judged(
    original: str | Witness,
    copy: str | Witness,
    *,
    words: Sequence[str] = (),
    modern: Mapping[str, Sequence[str]] | None = None,
    pairs: Sequence[tuple[str, str]] = (),
    script: str = "",
) -> list[Variant]:
    """Align, collect and decide; a ``str`` is text in Leiden signs."""
    first, second = (
        read_witness(text, siglum="O", profile="leiden", script=script) if isinstance(text, str) else text
        for text in (original, copy)
    )
    folds = load_folds([], pairs)
    alignment = align_witnesses(first, second, folds)
    later = {form: frozenset(forms) for form, forms in (modern or {}).items()}
    entries = dict(entries_of(alignment, folds))
    facts = Facts(alignment, folds, places_of(first), words=words, modern=later, entries=entries)
    variants = with_layers(collect(alignment, "O", folds), alignment, "O")
    return decide(variants, {"O": facts})


def causes(variant: Variant) -> set[Cause]:
    """Give every cause that fits."""
    return {variant.cause, *variant.other_causes}
