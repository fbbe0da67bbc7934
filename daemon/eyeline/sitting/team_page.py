"""What the genre of a team page says of it: ranges, format, and when two heads stand alike."""

from __future__ import annotations

from eyeline.judging.rulebook import CropFormat, Ideal, Rulebook
from eyeline.sitting.team_crop import HeadPlace


def ideal_of(page: Rulebook, measure: str) -> Ideal | None:
    """The first ideal that `page` has for `measure`; None where it has none."""
    found = [ideal for each in page.criteria for ideal in each.ideals if ideal.measure == measure]
    return found[0] if found else None


def range_of(page: Rulebook, measure: str) -> tuple[float, float]:
    """The ideal range of `measure`. Raises ValueError where `page` has none."""
    ideal = ideal_of(page, measure)
    if ideal is None:
        raise ValueError(f"the genre {page.name} says nothing of {measure}, which a team needs")
    return ideal.ideal_low, ideal.ideal_high


def page_format(page: Rulebook) -> CropFormat:
    """The format of the page: its first, by default a square."""
    return page.formats[0] if page.formats else CropFormat("1:1", 1.0, 1, 1)


def is_alike(found: HeadPlace, place: HeadPlace, page: Rulebook) -> bool:
    """Within half of the page's ranges: nobody sees less in a grid."""
    (low_eye, high_eye), (low_head, high_head) = range_of(page, "eye_line"), range_of(page, "head_height")
    return (
        abs(found.eye_line - place.eye_line) <= (high_eye - low_eye) / 2
        and abs(found.head_height - place.head_height) <= (high_head - low_head) / 2
        and abs(found.eye_x - place.eye_x) <= range_of(page, "centre_distance")[1]
    )
