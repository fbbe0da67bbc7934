"""The shipped rules on the ground truth of the bundled shoot (and of further sets, where present)."""

import os
from pathlib import Path
from typing import Any

import pytest

from eyeline.judging.columns import columns_of
from eyeline.judging.verdict import Judgement, judge
from tests.accuracy.expected_verdicts import Expected, deciding_label
from tests.accuracy.portraits import Portrait
from tests.judging.shipped import BRIEF, QUANTITIES, ROOT, rules, vocabulary
from tests.judging.truth import frames, measured

SHOOT = ROOT / "shoot" / "truth.jsonl"
SHARED = (
    Path(os.environ.get("EYELINE_SHARED", ROOT.parent / "shared")) / "portraits" / "truth" / "truth.jsonl"
)


def judged(path: Path) -> tuple[list[dict[str, Any]], Judgement]:
    single = [frame for frame in frames(path) if frame["people_count"] == 1]
    columns = columns_of([measured(frame, frame["people"][0]) for frame in single], QUANTITIES.values())
    books = [rules().genre(name) for name in BRIEF]
    return single, judge(columns, books, vocabulary(), QUANTITIES)


@pytest.fixture(scope="module", params=[SHOOT, SHARED], ids=["shoot", "truth"])
def judgement(request: pytest.FixtureRequest) -> tuple[list[dict[str, Any]], Judgement]:
    if not request.param.exists():
        pytest.skip(f"no ground truth at {request.param}")
    return judged(request.param)


def test_no_dud_gets_three_stars(judgement: tuple[list[dict[str, Any]], Judgement]) -> None:
    """Closed eyes, no sharp eye, a flash that did not fire, a face blown out, a chin cut."""
    single, judged_frames = judgement
    duds = [row for row, frame in enumerate(single) if expected(frame) is Expected.DUD]
    assert duds
    assert {
        single[row]["file"]: int(judged_frames.stars[row]) for row in duds if judged_frames.stars[row] > 2
    } == {}


def test_no_sound_frame_of_the_shoot_is_a_dud_or_weak() -> None:
    single, judged_frames = judged(SHOOT)
    sound = [row for row, frame in enumerate(single) if expected(frame) is Expected.SOUND]
    assert len(sound) >= 35
    assert [single[row]["file"] for row in sound if judged_frames.stars[row] < 3] == []


def expected(frame: dict[str, Any]) -> Expected:
    label = deciding_label(Portrait(Path(frame["file"]), "", frame))
    return Expected.SOUND if label is None else label.expected


def test_each_kind_of_spoilt_frame_is_seen_for_what_it_is() -> None:
    single, judged_frames = judged(SHOOT)
    expected = {
        "burst_blink": (1, "blink"),
        "burst_half": (2, "half blink"),
        "soft": (1, "soft eyes"),
        "dark": (1, "flash misfire"),
        "bright": (2, "burnt highlights"),
        "off_edge": (2, "tight to edge"),
        "cropped_head": (2, "crown cropped"),
        "lead_wrong": (2, "looks out of frame"),
    }
    seen = 0
    for row, frame in enumerate(single):
        if frame["kind"] in expected:
            stars, keyword = expected[frame["kind"]]
            assert judged_frames.stars[row] <= stars, frame["file"]
            assert keyword in judged_frames.verdict(row).keywords, frame["file"]
            seen += 1
    assert seen == 15


def test_looks_toward_free_space_serve_the_copy_space_lines() -> None:
    single, judged_frames = judged(SHOOT)
    for row, frame in enumerate(single):
        if frame["kind"] in ("copy_space", "lead"):
            side = frame["empty_sides"][0]
            verdict = judged_frames.verdict(row)
            assert verdict.genre in (f"copy space {side}", "loose keeper"), frame["file"]
            assert f"looks camera {side}" in verdict.keywords, frame["file"]
