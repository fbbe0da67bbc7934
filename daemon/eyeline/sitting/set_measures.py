"""Measures of a frame that need the other frames of its set, taken before anything is judged."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from eyeline.sitting.colour_difference import Lab, at_middle_lightness, ciede2000
from eyeline.sitting.exposure_off import FEW, LEAST_PEERS, exposures_off, knows_its_sitter
from eyeline.sitting.looks import colour, looks
from eyeline.sitting.series import series
from eyeline.sitting.shot import Shot
from eyeline.sitting.sittings import sittings
from eyeline.sitting.usual_eyes import eyes_open, usual_opening
from eyeline.sitting.usual_gaze import gaze_from, zero_of_gaze
from eyeline.terms.measurement import Measurement

NO_FACE = "the frame shows no face"
ALONE = "no other frame of this look and pose was taken seconds before or after"
NO_TEAM = "only eyeline team compares the light of several sitters"
UNRANKED = "frames of a series are ranked once they are judged"
FEW_BACKDROPS = f"fewer than {LEAST_PEERS} frames of this sitting show the backdrop"


def set_measures(shots: Sequence[Shot]) -> tuple[dict[str, Measurement], ...]:
    """For each of `shots`, which are all frames of the set at hand, the measures of the set by name.

    `exposure_off_stops` and `white_balance_off` compare with the medians of the frame's look, as do eyelids
    and gaze, `backdrop_off` with that of its sitting. Nothing is compared across sittings, since these may
    show different people. `series` names the first frame of its series. `series_rank` is missing here; see
    `ranking`. `eyes_open` and the gaze are there too where the sitter's usual opening and zero of gaze are
    known: they replace those of the frame alone.
    """
    found = [_missing(NO_FACE) for _ in shots]
    for sitting in sittings(shots):
        backdrop = _middle([colour(shots[row], "background") for row in sitting.rows])
        for look in looks(shots, sitting.rows):
            # Other clothes may be another sitter, who sat down without a pause.
            of_sitter = [shots[row] for row in look if knows_its_sitter(shots[row])]
            usual, zero = usual_opening(of_sitter), zero_of_gaze(of_sitter)
            usual_chroma = _middle([_chroma(shots[row]) for row in look])
            exposures = exposures_off([shots[row] for row in look])
            for row, exposure in zip(look, exposures, strict=True):
                found[row] = _missing(ALONE) | {
                    each.name: each
                    for each in (
                        exposure,
                        _colour_off("white_balance_off", _chroma(shots[row]), usual_chroma, FEW),
                        _colour_off(
                            "backdrop_off", colour(shots[row], "background"), backdrop, FEW_BACKDROPS
                        ),
                    )
                }
                if (opened := eyes_open(shots[row], usual)) is not None:
                    found[row]["eyes_open"] = opened
                found[row] |= {each.name: each for each in gaze_from(shots[row], zero)}
            for one in series(shots, look):
                if len(one) > 1:
                    for row in one:
                        found[row]["series"] = Measurement("series", shots[one[0]].name)
                        found[row]["series_rank"] = Measurement("series_rank", None, UNRANKED)
    return tuple(found)


def _missing(reason: str) -> dict[str, Measurement]:
    names = ("series", "series_rank", "exposure_off_stops", "white_balance_off", "backdrop_off")
    found = {name: Measurement(name, None, reason) for name in names}
    return found | {"light_off_stops": Measurement("light_off_stops", None, NO_TEAM)}


def _colour_off(name: str, value: Lab | None, usual: Lab | None, few: str) -> Measurement:
    if value is None:
        return Measurement(name, None, "the frame shows too little of the backdrop")
    if usual is None:
        return Measurement(name, None, few)
    return Measurement(name, round(ciede2000(usual, value), 2))


def _chroma(shot: Shot) -> Lab | None:
    backdrop = colour(shot, "background")
    return None if backdrop is None else at_middle_lightness(backdrop)


def _middle(colours: Sequence[Lab | None]) -> Lab | None:
    """The median of each coordinate; None of too few."""
    shown = [each for each in colours if each is not None]
    if len(shown) < LEAST_PEERS:
        return None
    lightness, a, b = (median(each[axis] for each in shown) for axis in range(3))
    return lightness, a, b
