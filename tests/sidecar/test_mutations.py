"""Mutated sidecars: whatever the bytes, one of the known outcomes, and no byte lost when refused."""

import random
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.sidecar.meaning import parse
from eyeline.sidecar.outcome import Result
from tests.sidecar.examples import names, take_back, write

PIECES = (
    b"<",
    b">",
    b"&#0;",
    b"&lt;",
    b"<!--",
    b"]]>",
    b"\0",
    b"<rdf:li>",
    b"</rdf:li>",
    b" rdf:about='x'",
    b" xml:lang='zz-'",
    b" rdf:resource='#'",
    b" rdf:parseType='Collection'",
    b"<rdf:Seq/>",
    b"<v:new xmlns:v='urn:v'>1</v:new>",
)


def mutated(content: bytes, chance: random.Random) -> bytes:
    """One to five small changes: a byte, a cut, a copy, a piece of markup, a shortening."""
    bytes_ = bytearray(content)
    for _ in range(chance.choice((1, 1, 1, 2, 5))):
        if not bytes_:
            break
        place = chance.randrange(len(bytes_))
        match chance.randrange(9):
            case 0 | 1:
                bytes_[place] = chance.randrange(256)
            case 2 | 3:
                del bytes_[place : place + chance.randrange(1, 40)]
            case 4 | 5:
                other = chance.randrange(len(bytes_))
                bytes_[place:place] = bytes_[other : other + chance.randrange(1, 80)]
            case 6 | 7:
                bytes_[place:place] = chance.choice(PIECES)
            case _:
                del bytes_[max(place, 1) :]
    return bytes(bytes_)


@pytest.mark.parametrize("rounds", [100, pytest.param(800, marks=pytest.mark.slow)])
def test_no_mutation_crashes_or_loses_a_byte(exiftool: ExifTool, photo: Path, rounds: int) -> None:
    content = (Path(__file__).parent / "foreign.xmp").read_bytes()
    sidecar = photo.with_suffix(".xmp")
    chance = random.Random(rounds)
    results = set()
    for _ in range(rounds):
        mutation = mutated(content, chance)
        sidecar.write_bytes(mutation)
        outcome = write(exiftool, photo)
        results.add(outcome.result)
        if outcome.result is Result.WRITTEN:
            assert take_back(exiftool, photo, outcome.written).result is Result.WRITTEN
            assert parse(sidecar.read_bytes(), sidecar) == parse(mutation, sidecar)
        else:
            assert sidecar.read_bytes() == mutation
        assert names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"]
    assert {Result.WRITTEN, Result.REFUSED} <= results  # or the mutations were all of one kind
