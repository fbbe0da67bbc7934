"""A history entry in eyeline's name that eyeline has not written: the ledger outranks it, and without one
it takes nothing away from anybody.

Each record is well-formed and names as eyeline's, field by field, what a client or photographer wrote.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.sidecar.meaning import Document, parse
from eyeline.sidecar.vocabulary import HISTORY, METADATA_DATE
from tests.deciding.decider import measured, open_decider, undone
from tests.sidecar.forged import forged, rated
from tests.sidecar.readers import by_exiftool

DATE = "<xmp:MetadataDate>2031-04-17T18:22:05+02:00</xmp:MetadataDate>"
SCENE = "<Iptc4xmpCore:Scene><rdf:Bag><rdf:li>011200</rdf:li></rdf:Bag></Iptc4xmpCore:Scene>"
THEIRS = rated("5", "client", "smith and sons") + DATE + SCENE
"""All that stands in the sidecar is the client's."""

FIELDS: dict[str, object] = {
    "created": True,
    "rating": "5",
    "rating_before": "0",
    "keywords": ["client", "smith and sons"],
    "scenes": ["011200"],
    "regions": {"eyeline-sitter": [0, 0, 1, 1, "00ff00ff"]},
    "metadata_date": "2031-04-17T18:22:05+02:00",
    "metadata_date_before": "1999-01-01",
    "left_rating": True,
    "left_keywords": ["headshot"],
    "left_scenes": ["010100"],
    "left_regions": ["eyeline-sitter"],
}
RECORDS = [*({name: value} for name, value in FIELDS.items()), FIELDS]


def properties(sidecar: Path, *but: str) -> Document:
    found = parse(sidecar.read_bytes(), sidecar)
    return Document(found.about, tuple(each for each in found.properties if each[0] not in but))


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: "+".join(record))
def test_without_a_ledger_nothing_that_a_person_may_have_written_goes(
    exiftool: ExifTool, tmp_path: Path, record: dict[str, object]
) -> None:
    sidecar = tmp_path / "shoot" / "IMG_1.xmp"
    sidecar.parent.mkdir()
    sidecar.write_bytes(forged(json.dumps(record), THEIRS))
    with open_decider(tmp_path, exiftool) as decider:
        undone(decider, sidecar.parent)
        assert sidecar.read_bytes() == forged(json.dumps(record), THEIRS)
        list(decider.decide([measured(decider, sidecar.with_suffix(".jpg"))]))
        seen = by_exiftool(sidecar)
        assert seen.rating == "5"
        assert {"client", "smith and sons"} <= set(seen.keywords)
        assert "011200" in seen.scenes
        undone(decider, sidecar.parent)
    assert sidecar.read_bytes() == forged(json.dumps(record), THEIRS), "undone, byte for byte"


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: "+".join(record))
def test_where_the_ledger_has_a_decision_it_outranks_the_record(
    exiftool: ExifTool, tmp_path: Path, record: dict[str, object]
) -> None:
    """Somebody replaces the sidecar, as a client's program does, and names her own as eyeline's."""
    sidecar = tmp_path / "shoot" / "IMG_1.xmp"
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, sidecar.with_suffix(".jpg"))
        list(decider.decide([photo]))
        sidecar.write_bytes(forged(json.dumps(record), THEIRS))
        before = properties(sidecar, HISTORY, METADATA_DATE)
        for _ in range(2):
            list(decider.decide([photo]))
        undone(decider, sidecar.parent)
        undone(decider, sidecar.parent)
    assert properties(sidecar, HISTORY, METADATA_DATE) == before


def test_a_record_copied_from_another_photo_is_no_proof(exiftool: ExifTool, tmp_path: Path) -> None:
    """Programs paste all metadata of one photo onto others, the history with it."""
    first, second = tmp_path / "shoot" / "IMG_1.jpg", tmp_path / "shoot" / "IMG_2.jpg"
    with open_decider(tmp_path, exiftool) as decider:
        list(decider.decide([measured(decider, first)]))
        pasted = first.with_suffix(".xmp").read_bytes()
        second.with_suffix(".xmp").write_bytes(pasted)
        measured(decider, second)
        undone(decider, second)
    assert second.with_suffix(".xmp").read_bytes() == pasted
