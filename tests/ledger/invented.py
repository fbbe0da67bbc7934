"""Invented files, photos and decisions, as fixed examples and as hypothesis strategies."""

import os
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

from hypothesis import strategies as st

from eyeline.ledger import Decision, Outcome, Photo, Stamp
from eyeline.terms.frame import Capture, Frame
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop, NoCrop, Reason, Verdict

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
STAMP = Stamp(size=1000, mtime_ns=1_700_000_000_000_000_001, inode=2**64 - 1, device=5)
VERDICT = Verdict("corporate headshot", 0.7, 3, ("headshot",), (), (("corporate headshot", 0.7),), "r1")
FOLDER = Path("/photos/one")


def photo(path: Path = FOLDER / "a.jpg", digest: str = "d1", orientation: int = 1) -> Photo:
    return Photo(
        Frame(path, digest, 4000, 6000, 6000, 4000, orientation, Capture(make="Brand", rating_inside=0.0)),
        (Measurement("eye_line", 0.34), Measurement("lead_room", None, "the gaze meets the lens")),
        Points((0.4, 0.3), (0.6, 0.3), (0.5, 0.6), False, 0.1, False, None, 0.3, 0.7),
        "the only face",
        {"read": 12.5},
        "0.1.0",
        NOW,
    )


def decision(
    path: Path = FOLDER / "a.jpg",
    digest: str = "d1",
    outcome: Outcome = Outcome.WRITTEN,
    stars: int | None = 3,
) -> Decision:
    verdict = Verdict("corporate headshot", 0.7, stars, ("headshot",), (), (), "r1")
    return Decision(path, digest, verdict, outcome, NOW, sidecar=path.with_suffix(".xmp"))


# st.floats without nan and infinity; text with control characters, quotes, non-ASCII, lone surrogates
numbers = st.floats(allow_nan=False, allow_infinity=False)
words = st.text(alphabet=st.characters(codec="utf-8"), max_size=12)
names = st.binary(min_size=1, max_size=20).map(
    lambda raw: os.fsdecode(raw.replace(b"/", b"_").replace(b"\0", b"_"))
)
paths = st.lists(names.filter(lambda name: name not in {".", ".."}), min_size=1, max_size=4).map(
    lambda parts: Path("/", *parts)
)
moments = st.datetimes(
    min_value=datetime(1970, 1, 2),
    max_value=datetime(9999, 12, 30),
    timezones=st.sampled_from([UTC, timezone(timedelta(hours=5, minutes=30))]),
)
values = st.one_of(numbers, st.integers(-(2**70), 2**70), st.booleans(), words)
measurements = st.one_of(
    st.builds(Measurement, words, values),
    st.builds(Measurement, words, st.none(), words),
)
rectangles = st.builds(Rectangle, numbers, numbers, numbers, numbers)
pairs = st.tuples(numbers, numbers)
points = st.builds(
    Points,
    pairs,
    pairs,
    pairs,
    st.booleans(),
    st.none() | numbers,
    st.booleans(),
    st.none() | words,
    numbers,
    numbers,
    st.booleans(),
    st.lists(rectangles, max_size=2).map(tuple),
    st.lists(rectangles, max_size=2).map(tuple),
)
captures = st.builds(
    Capture,
    st.none() | words,
    st.none() | st.text(max_size=8) | st.just("forged\n\udcff"),
    st.none() | words,
    st.none() | words,
    st.none() | numbers,
    st.none() | numbers,
    st.none() | numbers,
    st.none() | numbers,
)
frames = st.builds(
    Frame, paths, words, *[st.integers(1, 100_000)] * 4, orientation=st.integers(1, 8), capture=captures
)
photos = st.builds(
    Photo,
    frames,
    st.lists(measurements, max_size=5, unique_by=lambda one: one.name).map(tuple),
    st.none() | points,
    words,
    st.dictionaries(words, numbers, max_size=3),
    words,
    moments,
)
reasons = st.builds(
    Reason,
    words,
    words,
    st.none() | values,
    words,
    st.none() | numbers,
    numbers,
    numbers,
    words,
    st.none() | st.integers(1, 5),
)
crops = st.builds(Crop, words, rectangles, numbers, numbers, st.integers(1), st.integers(1), words)
verdicts = st.builds(
    Verdict,
    words,
    numbers,
    st.none() | st.integers(1, 5),
    st.lists(words, max_size=4).map(tuple),
    st.lists(reasons, max_size=3).map(tuple),
    st.lists(st.tuples(words, numbers), max_size=3).map(tuple),
    words,
    st.lists(crops, max_size=2).map(tuple),
    st.lists(st.builds(NoCrop, words, words), max_size=2).map(tuple),
)
