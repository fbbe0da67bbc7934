"""How many faces the frame shows."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject

MEANING = "faces found; a face on a poster or a screen counts, for one picture cannot tell it apart"


def _count(subject: Subject) -> Sequence[Measurement]:
    return [Measurement("people", len(subject.seen.faces))]


MEASURE = Measure(
    quantities=(Quantity("people", "count", MEANING),),
    function=_count,
    source="measures.md, 'Framing': faces found",
    needs_sitter=False,
)
