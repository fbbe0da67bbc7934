"""Whose field is it? The rules of the last word, without any file."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.sidecar.fields import Wanted
from eyeline.sidecar.ownership import TOLERANCE, Edits, FieldPlan, known, plan
from eyeline.sidecar.present import FoundRegion, Present
from eyeline.sidecar.regions import StoredRegion
from eyeline.sidecar.written import Written, event_parameters
from eyeline.terms.rectangle import Rectangle

CROP = StoredRegion("eyeline-crop-4x5", "4:5", Rectangle(0.1, 0.2, 0.5, 0.4), ("portraitCropping",), ())
SITTER = StoredRegion(
    "eyeline-sitter", "sitter", Rectangle(0.3, 0.3, 0.2, 0.2), ("mainSubjectArea",), ("human",)
)
WANT = Wanted("4", ("headshot", "blink"), ("010100",), (CROP, SITTER), "4 stars")


def found(region: StoredRegion, **changes: object) -> FoundRegion:
    return dataclasses.replace(FoundRegion(region.id, region.area, region.content), **changes)  # type: ignore[arg-type]


def after(decision: FieldPlan) -> Present:
    """The file as it is once everything of `decision` was written."""
    written = decision.written
    regions = tuple(FoundRegion(mark.id, mark.area, mark.content) for mark in written.regions)
    return Present(
        written.rating,
        None,
        written.keywords,
        written.scenes,
        regions,
        (event_parameters("4 stars", written),),
    )


FIRST = plan(None, Present(), WANT, None)
OURS = FIRST.written
THERE = after(FIRST)


def again(
    now: Present, want: Wanted = WANT, last: Written | None = OURS, elsewhere: float | None = None
) -> FieldPlan:
    return plan(last, now, want, elsewhere)


def test_on_an_empty_file_all_is_ours() -> None:
    assert FIRST.edits.rating == "4"
    assert FIRST.edits.add_keywords == WANT.keywords
    assert FIRST.edits.add_scenes == WANT.scenes
    assert FIRST.edits.add_regions == WANT.regions
    assert FIRST.left == ()


def test_what_is_as_we_wrote_it_and_as_we_want_it_needs_no_edit() -> None:
    assert not again(THERE).edits


class TestRating:
    @pytest.mark.parametrize("theirs", ["1", "2", "5", "-1", "3.5", "five"])
    def test_one_that_was_there_before_us_stays(self, theirs: str) -> None:
        decision = plan(None, Present(rating=theirs), WANT, None)
        assert decision.edits.rating is None
        assert decision.written.rating is None
        assert decision.left == (f"the rating ({theirs} in the sidecar)",)

    @pytest.mark.parametrize("free", [None, "0", "0.0"])
    def test_absent_and_zero_are_free(self, free: str | None) -> None:
        decision = plan(None, Present(rating=free), WANT, None)
        assert decision.edits.rating == "4"
        assert decision.written.rating_before == free

    @pytest.mark.parametrize("inside", [1.0, 5.0, -1.0, 3.5])
    def test_one_inside_the_photo_is_a_person_s(self, inside: float) -> None:
        decision = plan(None, Present(), WANT, inside)
        assert decision.edits.rating is None
        assert "inside the photo" in decision.left[0]

    def test_zero_inside_the_photo_is_free(self) -> None:
        assert plan(None, Present(), WANT, 0.0).edits.rating == "4"

    @pytest.mark.parametrize("theirs", ["0", "5", "-1", None])
    def test_ours_changed_or_removed_is_a_decision(self, theirs: str | None) -> None:
        decision = again(dataclasses.replace(THERE, rating=theirs))
        assert decision.edits.rating is None
        assert decision.written.left_rating

    def test_a_decision_is_for_good(self) -> None:
        decision = again(dataclasses.replace(THERE, rating="0"))
        later = plan(decision.written, dataclasses.replace(THERE, rating="0"), WANT, None)
        assert later.edits.rating is None
        cleared = plan(later.written, dataclasses.replace(THERE, rating=None), WANT, None)
        assert cleared.edits.rating is None

    def test_ours_unchanged_is_updated(self) -> None:
        decision = again(THERE, dataclasses.replace(WANT, rating="2"))
        assert decision.edits.rating == "2"
        assert decision.written.rating == "2"

    def test_ours_rewritten_as_a_real_number_is_still_ours(self) -> None:
        decision = again(dataclasses.replace(THERE, rating="4.0"), dataclasses.replace(WANT, rating="2"))
        assert decision.edits.rating == "2"

    def test_ours_gives_way_when_a_person_rates_inside_the_photo(self) -> None:
        decision = again(THERE, elsewhere=2.0)
        assert decision.edits.rating == ""
        assert decision.written.left_rating

    def test_what_was_there_comes_back_when_none_is_wanted(self) -> None:
        first = plan(None, Present(rating="0"), WANT, None)
        decision = plan(first.written, after(first), dataclasses.replace(WANT, rating=None), None)
        assert decision.edits.rating == "0"

    @given(
        last=st.sampled_from([None, "1", "4"]),
        now=st.sampled_from([None, "0", "-1", "1", "3", "4", "5", "4.0", "x"]),
        want=st.sampled_from([None, "1", "2", "3", "4", "5"]),
        elsewhere=st.sampled_from([None, 0.0, 3.0, -1.0]),
        left=st.booleans(),
    )
    def test_never_over_a_person_s_and_never_minus_one(
        self, last: str | None, now: str | None, want: str | None, elsewhere: float | None, left: bool
    ) -> None:
        record = Written(rating=last, left_rating=left)
        decision = plan(
            record, Present(rating=now, events=("x",)), dataclasses.replace(WANT, rating=want), elsewhere
        )
        assert decision.edits.rating != "-1"
        ours = last is not None and now is not None and now.removesuffix(".0") == last
        if decision.edits.rating is not None:
            assert not left
            assert ours or now in (None, "0")
            assert ours or not elsewhere


class TestKeywords:
    def test_one_that_a_person_had_is_theirs_and_never_withdrawn(self) -> None:
        decision = plan(None, Present(keywords=("headshot", "client")), WANT, None)
        assert decision.edits.add_keywords == ("blink",)
        assert decision.written.keywords == ("blink",)
        now = dataclasses.replace(after(decision), keywords=("headshot", "client", "blink"))
        withdrawn = plan(decision.written, now, dataclasses.replace(WANT, keywords=()), None)
        assert withdrawn.edits.remove_keywords == ("blink",)

    def test_one_of_ours_that_was_deleted_does_not_come_back(self) -> None:
        now = dataclasses.replace(THERE, keywords=("headshot",))
        decision = again(now)
        assert decision.edits.add_keywords == ()
        assert decision.written.left_keywords == ("blink",)
        assert "'blink' (taken out)" in decision.left[0]
        assert plan(decision.written, now, WANT, None).edits.add_keywords == ()

    def test_ours_no_longer_wanted_goes(self) -> None:
        decision = again(THERE, dataclasses.replace(WANT, keywords=("headshot", "soft eyes")))
        assert decision.edits.remove_keywords == ("blink",)
        assert decision.edits.add_keywords == ("soft eyes",)

    def test_the_same_word_in_other_letters_is_not_added_beside_it(self) -> None:
        decision = plan(None, Present(keywords=("Headshot",)), WANT, None)
        assert decision.edits.add_keywords == ("blink",)

    @given(
        ours=st.sets(st.sampled_from("abcd")),
        left=st.sets(st.sampled_from("abcd")),
        now=st.sets(st.sampled_from("abcdxy")),
        want=st.sets(st.sampled_from("abcdxy")),
    )
    def test_laws(self, ours: set[str], left: set[str], now: set[str], want: set[str]) -> None:
        record = Written(keywords=tuple(sorted(ours)), left_keywords=tuple(sorted(left)))
        wanted = dataclasses.replace(WANT, keywords=tuple(sorted(want)))
        decision = plan(record, Present(keywords=tuple(sorted(now)), events=("x",)), wanted, None)
        added, removed = set(decision.edits.add_keywords), set(decision.edits.remove_keywords)
        assert removed <= ours & now - want  # only ours, only what is there
        assert added <= want - now - left - ours  # nothing that somebody had taken out
        assert set(decision.written.keywords) == ((ours & now) | added) - removed
        result = (now - removed) | added
        once_more = plan(
            decision.written, Present(keywords=tuple(sorted(result)), events=("x",)), wanted, None
        )
        assert once_more.edits.add_keywords == once_more.edits.remove_keywords == ()


class TestRegions:
    def test_within_the_tolerance_it_is_still_ours(self) -> None:
        near = dataclasses.replace(CROP.area, left=CROP.area.left + 0.9 * TOLERANCE)
        now = dataclasses.replace(THERE, regions=(found(CROP, area=near), found(SITTER)))
        assert not again(now).edits
        moved = dataclasses.replace(CROP, area=Rectangle(0, 0, 0.5, 0.5))
        decision = again(now, dataclasses.replace(WANT, regions=(moved, SITTER)))
        assert decision.edits.add_regions == (moved,)
        assert decision.edits.remove_regions == (CROP.id,)

    @pytest.mark.parametrize("edge", ["left", "top", "width", "height"])
    def test_moved_by_a_person_it_stays(self, edge: str) -> None:
        far = dataclasses.replace(CROP.area, **{edge: getattr(CROP.area, edge) + 1.1 * TOLERANCE})
        now = dataclasses.replace(THERE, regions=(found(CROP, area=far), found(SITTER)))
        for want in (WANT, dataclasses.replace(WANT, regions=(SITTER,))):
            decision = again(now, want)
            assert not decision.edits
            assert decision.written.left_regions == (CROP.id,)

    @pytest.mark.parametrize("change", [{"content": "12345678"}, {"area": None}])
    def test_renamed_or_reshaped_by_a_person_it_stays(self, change: dict[str, object]) -> None:
        now = dataclasses.replace(THERE, regions=(found(CROP, **change), found(SITTER)))
        decision = again(now, dataclasses.replace(WANT, regions=(SITTER,)))
        assert not decision.edits
        assert decision.written.left_regions == (CROP.id,)

    def test_deleted_by_a_person_it_does_not_come_back(self) -> None:
        decision = again(dataclasses.replace(THERE, regions=(found(SITTER),)))
        assert not decision.edits
        assert decision.written.left_regions == (CROP.id,)

    def test_one_of_that_name_that_we_did_not_write_is_theirs(self) -> None:
        decision = plan(None, Present(regions=(found(CROP),)), WANT, None)
        assert decision.edits.add_regions == (SITTER,)
        assert decision.edits.remove_regions == ()

    def test_ours_twice_is_nobody_s_to_touch(self) -> None:
        now = dataclasses.replace(THERE, regions=(found(CROP), found(CROP), found(SITTER)))
        assert not again(now, dataclasses.replace(WANT, regions=(SITTER,))).edits


class TestDoubt:
    @pytest.mark.parametrize(
        "now", [Present(), Present(rating="0"), Present(rating="3", keywords=("client",))]
    )
    def test_all_gone_at_once_is_no_decision(self, now: Present) -> None:
        decision = again(now)
        assert decision.doubt is not None
        assert not decision.edits
        assert decision.written == OURS

    @pytest.mark.parametrize(
        "now",
        [
            Present(rating="4"),
            Present(keywords=("blink",)),
            Present(scenes=("010100",)),
            Present(regions=(found(SITTER),)),
            Present(events=("anything",)),
        ],
    )
    def test_one_field_left_makes_the_others_decisions(self, now: Present) -> None:
        decision = again(now)
        assert decision.doubt is None
        assert not decision.edits

    def test_nothing_written_nothing_doubted(self) -> None:
        assert plan(Written(left_rating=True), Present(), WANT, None).doubt is None


class TestLedgerAndRecord:
    def test_with_the_ledger_lost_regions_of_our_ids_are_ours_and_all_else_may_be_a_person_s(self) -> None:
        last = known(None, THERE)
        assert last is not None
        nothing = plan(last, THERE, Wanted(None, (), (), (), ""), None)
        assert nothing.edits == Edits(remove_regions=tuple(region.id for region in WANT.regions))
        changed = plan(last, THERE, dataclasses.replace(WANT, rating="1", keywords=("soft eyes",)), None)
        assert changed.edits == Edits(add_keywords=("soft eyes",))

    def test_what_a_record_leaves_to_the_photographer_is_left_without_the_ledger_too(self) -> None:
        record = dataclasses.replace(OURS, left_keywords=("soft eyes",), left_rating=True)
        now = Present(events=(event_parameters("x", record),))
        wanted = plan(known(None, now), now, dataclasses.replace(WANT, keywords=("soft eyes",)), None)
        assert wanted.edits.rating is None
        assert wanted.edits.add_keywords == ()

    def test_with_the_event_lost_the_ledger_speaks(self) -> None:
        assert known(OURS, dataclasses.replace(THERE, events=())) == OURS

    def test_with_both_the_ledger_speaks(self) -> None:
        ledger = Written(rating="2", left_keywords=("soft eyes",))
        assert known(ledger, THERE) == ledger

    def test_a_record_that_the_ledger_holds_word_by_word_speaks_and_what_was_left_since_counts(self) -> None:
        ledger = Written(rating="2", left_keywords=("soft eyes",), left_rating=True)
        both = known(ledger, THERE, lambda record: record.says_the_same_as(OURS))
        assert both is not None
        assert both.rating == "4"
        assert both.left_rating
        assert both.left_keywords == ("soft eyes",)
