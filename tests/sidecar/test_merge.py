"""The guard: an ExifTool that damages what others wrote is caught, whatever it says itself."""

from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.sidecar.outcome import Result
from tests.sidecar.examples import names, write

DAMAGES = {
    "a value": (b">Mayor<", b">Major<"),
    "a translation": (b"<rdf:li xml:lang='de'>Modell</rdf:li>", b""),
    "a language": (b"xml:lang='fr'", b"xml:lang='de'"),
    "a field of a region": (b"<lab:confidence>0.98</lab:confidence>", b""),
    "the form of a number": (b">0.500000<", b">0.5<"),
    "the order of a list": (
        b"<rdf:li>A</rdf:li>\n    <rdf:li>B</rdf:li>",
        b"<rdf:li>B</rdf:li><rdf:li>A</rdf:li>",
    ),
    "a keyword of theirs": (b"<rdf:li>town hall</rdf:li>", b""),
    "a blank": (b"  two\nlines", b" two\nlines"),
    "their history": (b">saved<", b">lost<"),
    "a property": (b"<xmp:Label>second choice</xmp:Label>", b""),
    "one property more": (b"<xmp:Label>", b"<xmp:Nickname>x</xmp:Nickname><xmp:Label>"),
    "our rating": (b"<xmp:Rating>4<", b"<xmp:Rating>5<"),
    "our region": (b"rbX>0.05<", b"rbX>0.051<"),
    "our keyword": (b"<rdf:li>looks camera left</rdf:li>", b""),
    "the end of the file": (b"</x:xmpmeta>", b""),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_damage_is_refused_and_the_file_untouched(
    exiftool: ExifTool, photo: Path, damage: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sidecar = photo.with_suffix(".xmp")
    content = (Path(__file__).parent / "foreign.xmp").read_bytes()
    sidecar.write_bytes(content)
    real = ExifTool.edit

    def damaging(tool: ExifTool, path: Path, assignments: list[str]) -> None:
        real(tool, path, assignments)
        before, after = DAMAGES[damage]
        edited = path.read_bytes()
        assert edited.count(before) == 1, edited.decode()
        path.write_bytes(edited.replace(before, after))

    monkeypatch.setattr(ExifTool, "edit", damaging)
    outcome = write(exiftool, photo)
    assert outcome.result is Result.REFUSED
    assert "ExifTool cannot edit this sidecar" in outcome.sentence
    assert sidecar.read_bytes() == content
    assert names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"]
