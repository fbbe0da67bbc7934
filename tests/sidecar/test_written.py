"""The record of what eyeline wrote, there and back: as JSON, and in the history inside the sidecar."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.sidecar.vocabulary import SCENE_CODES
from eyeline.sidecar.written import Written, WrittenRegion, event_parameters, recorded
from eyeline.terms.rectangle import Rectangle
from tests.sidecar.test_ownership import OURS

lines = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1)


class TestRecord:
    def test_json_there_and_back(self) -> None:
        full = dataclasses.replace(
            OURS,
            created=True,
            rating_before="0",
            metadata_date="2031-04-17T18:22:05+02:00",
            metadata_date_before="2030-01-02",
            left_rating=True,
            left_keywords=("größer | wrote {}",),
            left_regions=("eyeline-x",),
            digest="ab",
        )
        assert Written.from_json(full.to_json()) == full
        assert Written.from_json(Written().to_json()) == Written()

    @given(
        st.builds(
            Written,
            created=st.booleans(),
            rating=st.none() | st.sampled_from("12345"),
            keywords=st.lists(lines, max_size=3).map(tuple),
            left_scenes=st.lists(st.sampled_from(sorted(SCENE_CODES)), max_size=3).map(tuple),
            regions=st.lists(
                st.builds(
                    WrittenRegion,
                    st.from_regex(r"eyeline-[A-Za-z0-9.-]+", fullmatch=True),
                    st.builds(Rectangle, *[st.floats(0, 1)] * 4),
                    st.just("00ff00ff"),
                ),
                max_size=3,
                unique_by=lambda mark: mark.id,
            ).map(tuple),
        )
    )
    def test_any_record_survives_in_the_history_event(self, written: Written) -> None:
        parameters = event_parameters("4 stars; best", written)
        assert recorded(["nothing", parameters]) == dataclasses.replace(written, parameters="4 stars; best")

    @pytest.mark.parametrize(
        "text",
        [
            "",
            "[]",
            "3",
            "null",
            '{"unknown": 1}',
            '{"rating": 4}',
            '{"keywords": [1]}',
            '{"keywords": 1}',
            '{"keywords": ["\\ud800"]}',
            '{"keywords": ["a\\nb"]}',
            '{"keywords": ["\\u001b]0;x\\u0007"]}',
            '{"keywords": [""]}',
            '{"keywords": ["headshot "]}',
            '{"keywords": {"headshot": 1}}',
            '{"scenes": ["999999"]}',
            '{"rating": "6"}',
            '{"rating": "-1"}',
            '{"rating_before": "5"}',
            '{"rating_before": "0\\n"}',
            '{"created": 1}',
            '{"left_rating": "yes"}',
            '{"metadata_date": "yesterday"}',
            '{"metadata_date_before": "2030-13-45"}',
            '{"left_regions": ["theirs"]}',
            '{"left_keywords": "headshot"}',
            '{"digest": "x"}',
            '{"parameters": "a\\nb"}',
            '{"regions": []}',
            '{"regions": {"eyeline-a": 1}}',
            '{"regions": {"eyeline-a": []}}',
            '{"regions": {"eyeline-a": [0, 0, 1, 1]}}',
            '{"regions": {"eyeline-a": ["x", 0, 1, 1, "c0"]}}',
            '{"regions": {"eyeline-a": [0, 0, 1, 1e999, "c0"]}}',
            '{"regions": {"eyeline-a": [0, 0, 1, NaN, "c0"]}}',
            '{"regions": {"eyeline-a": [0, 0, 1, true, "c0"]}}',
            '{"regions": {"eyeline-a": [0, 0, 1, 1, "c0\\n"]}}',
            '{"regions": {"theirs": [0, 0, 1, 1, "c0"]}}',
            "[" * 100_000,
            '{"keywords": ' + "[" * 100_000,
            "9" * 5000,
        ],
    )
    def test_a_record_that_is_none(self, text: str) -> None:
        with pytest.raises(ValueError):
            Written.from_json(text)
        assert recorded([f"readable | wrote {text}"]) is None
