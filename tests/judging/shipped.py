"""The shipped rules and the measures that they may name, for the tests of judging and cropping."""

from functools import cache
from pathlib import Path

from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import Rules, read_rules
from eyeline.judging.vocabulary import Vocabulary, read_vocabulary
from eyeline.measuring.framing import QUANTITIES as FRAMING
from eyeline.terms.measurement import Quantity

ROOT = Path(__file__).parents[2]
BRIEF = ("corporate headshot", "tight close crop", "loose keeper", "copy space left", "copy space right")
"""The shipped default brief (common practice)."""

FRACTION = "fraction"
QUANTITIES = {
    each.name: each
    for each in (
        *FRAMING,
        Quantity("people", "count", "faces found"),
        Quantity("left_eye_covered", "bool", ""),
        Quantity("right_eye_covered", "bool", ""),
        Quantity("head_yaw_deg", "deg", "+ = face toward frame right"),
        Quantity("head_pitch_deg", "deg", "+ = chin up"),
        Quantity("head_roll_deg", "deg", "+ = clockwise"),
        Quantity("gaze_yaw_deg", "deg", "+ = toward frame right"),
        Quantity("gaze_pitch_deg", "deg", "+ = up"),
        Quantity(
            "gaze",
            "word",
            "where the eyes point",
            ("camera", "left", "right", "up", "down", "unsure", "closed"),
        ),
        Quantity("gaze_confidence", "0 to 1", "probability that the word is right"),
        Quantity("eyes_open", "0 to 1", "probability that both eyes are open"),
        Quantity("mouth_opening", "ratio", "inner lips over mouth width"),
        Quantity("teeth_showing", "bool", ""),
        Quantity("glasses_glare", "0 to 1", ""),
        Quantity("catchlight", "bool", ""),
        Quantity("eye_blur_px", "px", ""),
        Quantity("eye_blur_iris", "fraction of iris diameter", ""),
        Quantity("motion_blur_px", "px", ""),
        Quantity("focus_behind", "ratio", ""),
        Quantity("face_clipped", FRACTION, ""),
        Quantity("face_crushed", FRACTION, ""),
        Quantity("frame_white", "relative luminance 0 to 1", ""),
        Quantity("sitter_white", "relative luminance 0 to 1", ""),
        Quantity("light_ratio_stops", "stops", ""),
        Quantity("separation", "ratio", ""),
        Quantity("copy_space", "word", "", ("left", "right", "both", "none")),
        Quantity("copy_space_left", FRACTION, ""),
        Quantity("copy_space_right", FRACTION, ""),
        Quantity("copy_space_contrast", "ratio", ""),
        Quantity("camera_height", "word", "", ("low", "level", "high", "unsure")),
        Quantity("exposure_off_stops", "stops", ""),
        Quantity("backdrop_off", "ΔE", ""),
        Quantity("light_off_stops", "stops", ""),
        Quantity("face_spread", "ratio", ""),
        Quantity("others", "count", ""),
        Quantity("others_untold", "count", ""),
        Quantity("others_eyes_open", "0 to 1", ""),
        Quantity("others_blur_least", "fraction of iris diameter", ""),
        Quantity("others_blur_most", "fraction of iris diameter", ""),
        Quantity("outer_edge_room", "face widths", ""),
        Quantity("series_rank", "rank", ""),
    )
}
"""docs/measures.md, as far as the shipped rules speak of it."""


@cache
def vocabulary() -> Vocabulary:
    """The shipped vocabulary."""
    path = ROOT / "rules" / "vocabulary.toml"
    words, mistakes = read_vocabulary([RuleFile("rules/vocabulary.toml", path.read_text("utf-8"))])
    assert mistakes == ()
    return words


def shipped_files() -> list[RuleFile]:
    """The shipped genres as texts."""
    return [
        RuleFile(f"rules/{path.name}", path.read_text("utf-8"))
        for path in sorted((ROOT / "rules").glob("*.toml"))
        if path.name != "vocabulary.toml"
    ]


@cache
def rules() -> Rules:
    """The shipped genres."""
    return read_rules(shipped_files(), QUANTITIES.values(), vocabulary())
