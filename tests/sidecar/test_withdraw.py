"""Taking back: all that eyeline wrote goes, and nothing else."""

import dataclasses
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from eyeline.exiftool import ExifTool
from eyeline.sidecar.meaning import parse
from eyeline.sidecar.outcome import Result
from tests.sidecar.examples import EXAMPLE, LATER, edit, names, take_back, write
from tests.sidecar.readers import by_exiftool


class TestTakingBack:
    def test_a_file_that_eyeline_made_goes(self, exiftool: ExifTool, photo: Path) -> None:
        first = write(exiftool, photo)
        planned = take_back(exiftool, photo, first.written, dry_run=True)
        assert planned.result is Result.PLANNED
        assert first.sidecar.exists()
        outcome = take_back(exiftool, photo, first.written)
        assert outcome.result is Result.WRITTEN
        assert outcome.digest_after is None
        assert names(photo.parent) == ["IMG_1.jpg"]

    def test_a_file_that_eyeline_made_and_others_added_to_stays(
        self, exiftool: ExifTool, photo: Path
    ) -> None:
        first = write(exiftool, photo)
        edit(first.sidecar, "-XMP-dc:Subject+=client")
        take_back(exiftool, photo, first.written)
        seen = by_exiftool(first.sidecar)
        assert (seen.rating, seen.keywords, seen.regions) == (None, {"client"}, {})

    def test_zero_and_the_date_come_back(self, exiftool: ExifTool, photo: Path) -> None:
        sidecar = photo.with_suffix(".xmp")
        edit(
            sidecar,
            "-XMP-xmp:Rating=0",
            "-XMP-xmp:MetadataDate=2030:01:02 03:04:05Z",
            "-XMP-dc:Subject=headshot",
        )
        before = parse(sidecar.read_bytes(), sidecar)
        last = None
        for stars in (4, 2):  # the second write must not take the first's values for theirs
            last = write(exiftool, photo, dataclasses.replace(EXAMPLE, stars=stars), last).written
        take_back(exiftool, photo, last)
        assert parse(sidecar.read_bytes(), sidecar) == before

    @pytest.mark.parametrize(
        "date",
        [
            "2030-01-02T03:04:05Z",
            "2030-01-02T03:04:05.125+01:00",
            "2030-01-02T03:04:05",
            "2030-01-02",
            "2030-01",
            "2030",
            "2030-13-45T99:00:00Z",
            " 2030-01-02 ",
            "yesterday",
        ],
    )
    @pytest.mark.parametrize("rating", ["0", "0.0", " 0", "-0", "0e1", ""])
    def test_odd_dates_and_zeros_come_back_or_were_left_alone(
        self, exiftool: ExifTool, photo: Path, date: str, rating: str
    ) -> None:
        sidecar = photo.with_suffix(".xmp")
        sidecar.write_text(
            '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
            '<rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/"'
            f' xmp:MetadataDate="{date}" xmp:Rating="{rating}"/></rdf:RDF></x:xmpmeta>'
        )
        before = parse(sidecar.read_bytes(), sidecar)
        outcome = write(exiftool, photo)
        assert outcome.result is Result.WRITTEN, outcome.sentence
        back = take_back(exiftool, photo, outcome.written)
        assert back.result is Result.WRITTEN, back.sentence
        assert parse(sidecar.read_bytes(), sidecar) == before

    def test_what_a_person_changed_stays(self, exiftool: ExifTool, photo: Path) -> None:
        first = write(exiftool, photo)
        edit(first.sidecar, "-XMP-xmp:Rating=5")
        take_back(exiftool, photo, first.written)
        assert by_exiftool(first.sidecar).rating == "5"

    def test_nothing_of_ours_nothing_to_do(self, exiftool: ExifTool, photo: Path) -> None:
        assert take_back(exiftool, photo, None).result is Result.UNCHANGED
        sidecar = photo.with_suffix(".xmp")
        edit(sidecar, "-XMP-xmp:Rating=5")
        content = sidecar.read_bytes()
        assert take_back(exiftool, photo, None).result is Result.UNCHANGED
        assert sidecar.read_bytes() == content

    def test_what_was_left_to_a_person_is_remembered(self, exiftool: ExifTool, photo: Path) -> None:
        first = write(exiftool, photo)
        edit(first.sidecar, "-XMP-dc:Subject-=headshot")
        back = take_back(exiftool, photo, first.written)
        again = write(exiftool, photo, EXAMPLE, back.written, now=LATER)
        assert "headshot" not in by_exiftool(again.sidecar).keywords


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _listed(kind: str) -> Callable[[list[str]], str]:
    def listed(items: list[str]) -> str:
        return f"<rdf:{kind}>{''.join(_element('rdf:li', item) for item in items)}</rdf:{kind}>"

    return listed


def _structure(fields: dict[str, str]) -> str:
    return "\0" + "".join(_element(f"v:{key}", value) for key, value in fields.items())


def _element(name: str, value: str) -> str:
    attribute = ' rdf:parseType="Resource"' if value.startswith("\0") else ""
    return f"<{name}{attribute}>{value.removeprefix(chr(0))}</{name}>"


_texts = st.text(
    st.characters(min_codepoint=32, max_codepoint=0x2FFF, exclude_categories=("Cs", "Cn", "Cc")),
    min_size=1,
    max_size=12,
)
_values = st.recursive(
    _texts.map(lambda text: _escaped(text)),
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=3).map(_listed("Bag")),
        st.lists(inner, min_size=1, max_size=3).map(_listed("Seq")),
        st.dictionaries(st.sampled_from("abc"), inner, min_size=1).map(_structure),
    ),
    max_leaves=6,
)


@settings(
    max_examples=25,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    deadline=None,
)
@given(
    properties=st.dictionaries(st.sampled_from(["p", "q", "r", "s"]), _values, max_size=4),
    keywords=st.sets(st.sampled_from(["headshot", "client", "blink"])),
    rating=st.sampled_from([None, "0", "3"]),
)
def test_do_then_undo_equals_before(
    exiftool: ExifTool, photo: Path, properties: dict[str, str], keywords: set[str], rating: str | None
) -> None:
    """The law of taking back, on generated sidecars with a foreign namespace."""
    inner = "".join(_element(f"v:{name}", value) for name, value in properties.items())
    if keywords:
        inner += _element("dc:subject", _listed("Bag")(sorted(keywords)))
    if rating is not None:
        inner += f"<xmp:Rating>{rating}</xmp:Rating>"
    sidecar = photo.with_suffix(".xmp")
    sidecar.write_text(
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:v="http://example.net/v/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"'
        f' xmlns:dc="http://purl.org/dc/elements/1.1/">{inner}</rdf:Description></rdf:RDF></x:xmpmeta>',
        encoding="utf-8",
    )
    content = sidecar.read_bytes()
    before = parse(content, sidecar)
    outcome = write(exiftool, photo)
    if outcome.result is Result.REFUSED:
        assert sidecar.read_bytes() == content
        return
    assert outcome.result is Result.WRITTEN
    back = take_back(exiftool, photo, outcome.written)
    assert back.result is Result.WRITTEN
    assert parse(sidecar.read_bytes(), sidecar) == before
