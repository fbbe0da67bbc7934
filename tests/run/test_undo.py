"""Undo: do, then undo, equals before; byte for byte where nobody came between."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeline.exiftool import ExifTool
from eyeline.intake.identity import image_digest
from eyeline.ledger import Outcome
from eyeline.ledger.decisions import Decisions
from eyeline.sidecar import annotate
from eyeline.sidecar.meaning import parse
from tests.deciding.decider import measured, open_decider, undone
from tests.sidecar.examples import edit

FOREIGN = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    '<rdf:Description rdf:about="" xmlns:v="http://example.net/v/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"'
    ' xmlns:dc="http://purl.org/dc/elements/1.1/">{}</rdf:Description></rdf:RDF></x:xmpmeta>'
)

texts = st.text(st.characters(min_codepoint=48, max_codepoint=0x17F, categories=("L", "Nd")), min_size=1)
bags = st.lists(texts, min_size=1, max_size=3).map(
    lambda items: "<rdf:Bag>" + "".join(f"<rdf:li>{item}</rdf:li>" for item in items) + "</rdf:Bag>"
)
sidecars = st.builds(
    lambda own, keywords, rating, space: FOREIGN.format(
        "".join(f"{space}<v:{name}>{value}</v:{name}>" for name, value in own.items())
        + (f"<dc:subject>{keywords}</dc:subject>" if keywords else "")
        + (f"<xmp:Rating>{rating}</xmp:Rating>" if rating else "")
    ).encode(),
    st.dictionaries(st.sampled_from("pqrs"), st.one_of(texts, bags), max_size=4),
    st.one_of(st.none(), bags),
    st.sampled_from([None, "0", "3"]),
    st.sampled_from(["", "\n", "\t "]),
)


@settings(max_examples=12, deadline=None)
@given(before=st.one_of(st.none(), sidecars), runs=st.integers(1, 2))
def test_do_then_undo_equals_before_byte_for_byte(
    exiftool: ExifTool, before: bytes | None, runs: int
) -> None:
    with tempfile.TemporaryDirectory() as name, open_decider(Path(name), exiftool) as decider:
        path = Path(name) / "shoot" / "IMG_1.jpg"
        photo = measured(decider, path)
        sidecar = path.with_suffix(".xmp")
        if before is not None:
            sidecar.write_bytes(before)
        for _ in range(runs):
            ((_, decision),) = decider.decide([photo])
        assert decision.outcome in (Outcome.WRITTEN, Outcome.UNCHANGED, Outcome.KEPT)
        assert sidecar.exists()
        undone(decider, path.parent)
        assert (sidecar.read_bytes() if sidecar.exists() else None) == before
        assert not [each for each in path.parent.iterdir() if each.name.startswith(".")]
        assert undone(decider, path.parent) == []


@settings(max_examples=5, deadline=None)
@given(before=sidecars, word=texts)
def test_what_others_added_since_stays_and_all_else_is_as_before(
    exiftool: ExifTool, before: bytes, word: str
) -> None:
    with tempfile.TemporaryDirectory() as name, open_decider(Path(name), exiftool) as decider:
        path = Path(name) / "shoot" / "IMG_1.jpg"
        photo = measured(decider, path)
        sidecar, expected = path.with_suffix(".xmp"), path.with_name("expected.xmp")
        sidecar.write_bytes(before)
        list(decider.decide([photo]))
        expected.write_bytes(before)
        for each in (sidecar, expected):
            edit(each, f"-XMP-photoshop:Headline={word}")
        (one,) = undone(decider, path)
        assert not one.exact
        assert parse(sidecar.read_bytes(), sidecar) == parse(expected.read_bytes(), expected)


def test_a_dry_run_does_nothing_and_says_what_it_would(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        path = tmp_path / "shoot" / "IMG_1.jpg"
        list(decider.decide([measured(decider, path)]))
        content = path.with_suffix(".xmp").read_bytes()
        (one,) = undone(decider, path, dry_run=True)
        assert one.exact
        assert path.with_suffix(".xmp").read_bytes() == content
        assert undone(decider, path) == [one]


def test_without_the_ledger_nothing_goes_until_somebody_says_to_believe_the_file(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    path = tmp_path / "shoot" / "IMG_1.jpg"
    sidecar = path.with_suffix(".xmp")
    with open_decider(tmp_path / "lost", exiftool) as decider:
        list(decider.decide([measured(decider, path)]))
    before = sidecar.read_bytes()
    with open_decider(tmp_path / "new", exiftool) as decider:
        (one,) = undone(decider, path.parent)
        assert one.refused
        assert "--by-history" in one.sentence
        assert sidecar.read_bytes() == before
        (one,) = undone(decider, path.parent, by_history=True)
        assert not one.exact
    assert parse(sidecar.read_bytes(), sidecar).properties == (), "and the file stays"


def test_a_folder_that_was_moved_is_undone_all_the_same(exiftool: ExifTool, tmp_path: Path) -> None:
    path = tmp_path / "shoot" / "IMG_1.jpg"
    with open_decider(tmp_path, exiftool) as decider:
        path.parent.mkdir()
        path.write_bytes(b"a photo")
        list(decider.decide([measured(decider, path, digest=image_digest(b"a photo"))]))
        moved = path.parent.rename(tmp_path / "elsewhere")
        (one,) = undone(decider, moved)
        assert not one.refused
    assert [each.name for each in moved.iterdir()] == ["IMG_1.jpg"]


def test_a_sidecar_whose_photo_is_gone_is_undone_too(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        path = tmp_path / "shoot" / "IMG_1.jpg"
        list(decider.decide([measured(decider, path)]))
        path.unlink()
        assert len(undone(decider, path.parent)) == 1
        assert list(path.parent.iterdir()) == []


def test_the_daemon_does_not_write_again_what_was_undone_and_a_run_does(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        path = tmp_path / "shoot" / "IMG_1.jpg"
        photo = measured(decider, path)
        list(decider.decide([photo]))
        undone(decider, path)
        assert list(decider.decide([photo], only_new=True)) == []
        ((_, decision),) = decider.decide([photo])
        assert decision.outcome is Outcome.WRITTEN
        (one,) = undone(decider, path)
        assert one.exact


def test_pre_images_are_kept_for_a_stated_time_and_forgotten_on_demand(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    from eyeline.ledger.pre_images import KEPT

    with open_decider(tmp_path, exiftool) as decider:
        path = tmp_path / "shoot" / "IMG_1.jpg"
        path.parent.mkdir()
        sidecar = path.with_suffix(".xmp")
        sidecar.write_bytes(FOREIGN.format("<v:p>a secret of others</v:p>").encode())
        list(decider.decide([measured(decider, path)]))
        held = decider.ledger.pre_images.of(sidecar)
        assert held is not None
        assert held.content is not None
        assert b"a secret of others" in held.content
        assert decider.ledger.pre_images.prune(datetime.now(UTC)) == 0
        decider.ledger.forget(path.parent)
        assert decider.ledger.pre_images.of(sidecar) is None
        assert decider.ledger.about(path.parent) == 0
        undone(decider, path, by_history=True)
        list(decider.decide([measured(decider, path)]))
        assert decider.ledger.pre_images.prune(datetime.now(UTC) + KEPT) == 1


class Killed(BaseException):
    """Stands in for kill -9: nothing catches it."""


@pytest.mark.parametrize("writes_before", [0, 1])
@pytest.mark.parametrize("when", ["before it is placed", "before it is recorded"])
@pytest.mark.parametrize("goes_on", [False, True], ids=["undone at once", "written again and undone"])
def test_a_kill_in_the_middle_of_a_write_costs_no_byte(
    exiftool: ExifTool,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    writes_before: int,
    when: str,
    goes_on: bool,
) -> None:
    def kill(*_: object) -> None:
        raise Killed

    path = tmp_path / "shoot" / "IMG_1.jpg"
    sidecar = path.with_suffix(".xmp")
    before = FOREIGN.format("\n  <v:p>mine</v:p>").encode()
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, path)
        sidecar.write_bytes(before)
        genres = iter(["corporate headshot", "loose keeper", "tight close crop"])
        for _ in range(writes_before):
            list(replace(decider, genres=(next(genres),)).decide([photo]))
        with monkeypatch.context() as patch, pytest.raises(Killed):
            if when == "before it is placed":
                patch.setattr(annotate, "put_in_place", kill)
            else:
                patch.setattr(Decisions, "add", kill)
            list(replace(decider, genres=(next(genres),)).decide([photo]))
        if goes_on:
            ((_, decision),) = replace(decider, genres=(next(genres),)).decide([photo])
            assert decision.outcome is Outcome.WRITTEN
        undone_now = undone(decider, path.parent)
        assert [each.exact for each in undone_now] in ([True], []), undone_now
        assert sidecar.read_bytes() == before


def test_a_kill_before_the_record_is_not_taken_for_somebody_else(
    exiftool: ExifTool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def kill(*_: object) -> None:
        raise Killed

    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        first, second, third = (
            replace(decider, genres=(genre,))
            for genre in ("corporate headshot", "loose keeper", "tight close crop")
        )
        list(first.decide([photo], only_new=True))
        with monkeypatch.context() as patch, pytest.raises(Killed):
            patch.setattr(Decisions, "add", kill)
            list(second.decide([photo], only_new=True))
        ((_, decision),) = third.decide([photo], only_new=True)
        assert decision.outcome is Outcome.WRITTEN
