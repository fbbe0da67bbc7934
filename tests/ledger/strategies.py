"""Any file name, photo and verdict that may come, as hypothesis strategies.

Numbers are finite; text holds control characters, quotes, any script; file names need be no text.
"""

import os
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

from hypothesis import strategies as st

from eyeline.ledger import Photo
from eyeline.terms.frame import Capture, Frame
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop, NoCrop, Reason, Verdict

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
    moments,
    st.integers(0, 1000),
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
