"""Which crop: the photographer's own outranks every suggestion."""

from __future__ import annotations

from eyeline.delivery.crop_choice import Whose, choose
from eyeline.terms.rectangle import Rectangle

FRAME = (4000, 6000)
OWN = Rectangle(0.1, 0.1, 0.6, 0.5)  # 2400 × 3000: 4:5
SUGGESTED = Rectangle(0.0, 0.2, 0.9, 0.75)  # 3600 × 4500: 4:5
TEAM = Rectangle(0.05, 0.2, 0.9, 0.75)


def test_own_before_team_before_suggested_before_the_whole() -> None:
    def whose(*given: object) -> Whose | None:
        found = choose(0.8, FRAME, *given)  # type: ignore[arg-type]
        return found.whose if found else None

    assert whose([OWN], TEAM, [SUGGESTED]) is Whose.OWN
    assert whose([], TEAM, [SUGGESTED]) is Whose.TEAM
    assert whose([], None, [SUGGESTED]) is Whose.SUGGESTED
    assert whose([], None, []) is None
    found = choose(2 / 3, FRAME, [OWN], TEAM, [SUGGESTED])
    assert found is not None and found.whose is Whose.WHOLE, "no crop has this shape, but the frame has"


def test_an_own_crop_of_another_shape_does_not_stand_in_the_way() -> None:
    square = Rectangle(0.0, 0.1, 0.6, 0.4)
    found = choose(0.8, FRAME, [square], None, [SUGGESTED])
    assert found is not None and found.whose is Whose.SUGGESTED
