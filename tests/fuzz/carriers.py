"""Mutated sidecars, and mutated JPEGs that carry their XMP: written and taken back, or left as they are."""

from __future__ import annotations

import random
from itertools import takewhile
from pathlib import Path

from eyeline.exiftool import ExifTool
from eyeline.intake.identity import image_digest
from eyeline.sidecar.meaning import parse
from eyeline.sidecar.naming import Naming
from eyeline.sidecar.outcome import Result
from tests.fuzz.figures import Figures, resident_mib, watched
from tests.fuzz.mutate import binary, markup, well_formed
from tests.fuzz.photos import examples
from tests.sidecar.examples import names, take_back, write

FOREIGN = Path(__file__).resolve().parents[1] / "sidecar" / "foreign.xmp"
"""A legal sidecar full of what an editor may break: few of its mutations can be written safely."""

PLAIN = b"""<?xpacket begin='\xef\xbb\xbf' id='W5M0MpCehiHzreSzNTczkc9d'?>
<x:xmpmeta xmlns:x='adobe:ns:meta/'>
<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>
<rdf:Description rdf:about='' xmlns:dc='http://purl.org/dc/elements/1.1/'
  xmlns:xmp='http://ns.adobe.com/xap/1.0/' xmlns:v='urn:example:v' xmp:Label='Green' v:note='a &amp; b'>
 <dc:subject><rdf:Bag><rdf:li>hall</rdf:li><rdf:li>Monday</rdf:li></rdf:Bag></dc:subject>
 <dc:title><rdf:Alt><rdf:li xml:lang='x-default'>Portrait</rdf:li></rdf:Alt></dc:title>
 <v:made rdf:parseType='Resource'><v:by>somebody</v:by><v:at>noon</v:at></v:made>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end='w'?>
"""
"""A plain one, as most programs write them."""

EVERY_EMBEDDED = 5
"""One case in so many is a JPEG that carries its XMP itself."""


def fuzz_carriers(folder: Path, cases: int, seed: int) -> Figures:
    """Annotate `cases` mutated sidecars and JPEGs, and take it back where that was done."""
    figures = Figures("sidecars", seed)
    photo, sidecar = folder / "IMG_1.jpg", folder / "IMG_1.xmp"
    jpeg, written = examples()["jpg"], (FOREIGN.read_bytes(), PLAIN, PLAIN)
    with ExifTool() as exiftool:
        for case in range(cases):
            chance = random.Random(f"{seed} {case}")
            with watched(figures, case):
                if case % EVERY_EMBEDDED:
                    photo.write_bytes(jpeg)
                    mutated = chance.choice((markup, well_formed, well_formed))
                    sidecar.write_bytes(mutated(chance.choice(written), chance))
                    altered = _beside(exiftool, photo, sidecar, figures)
                else:
                    sidecar.unlink(missing_ok=True)
                    photo.write_bytes(binary(jpeg, chance))
                    altered = _inside(exiftool, photo, figures)
                if altered:
                    figures.altered.append(f"sidecar {case}: {altered}")
            figures.resident_mib.append(resident_mib())
    return figures


def _beside(exiftool: ExifTool, photo: Path, sidecar: Path, figures: Figures) -> str:
    original, before = photo.read_bytes(), sidecar.read_bytes()
    outcome = write(exiftool, photo)
    figures.outcomes[outcome.result.name.lower()] += 1
    if outcome.result is Result.WRITTEN:
        if take_back(exiftool, photo, outcome.written).result is not Result.WRITTEN:
            return "what was written could not be taken back"
        if parse(sidecar.read_bytes(), sidecar) != parse(before, sidecar):
            return "taken back, the sidecar says something else"
    elif sidecar.read_bytes() != before:
        return "the sidecar was changed though not written"
    if photo.read_bytes() != original or names(photo.parent) != ["IMG_1.jpg", "IMG_1.xmp"]:
        return "the photo or its folder was changed"
    return ""


def _inside(exiftool: ExifTool, photo: Path, figures: Figures) -> str:
    before = photo.read_bytes()
    outcome = write(exiftool, photo, naming=Naming.EMBED)
    figures.outcomes[f"embedded {outcome.result.name.lower()}"] += 1
    after = photo.read_bytes()
    if outcome.result is not Result.WRITTEN:
        return "" if after == before else "the JPEG was changed though not written"
    if image_digest(after) != image_digest(before):
        return "the image data changed"
    if _shared(before, after) + _shared(before[::-1], after[::-1]) < len(before):
        return "more than one run of bytes is new in the JPEG"
    return "" if names(photo.parent) == ["IMG_1.jpg"] else "something was left beside it"


def _shared(one: bytes, other: bytes) -> int:
    """Length of what both begin with."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))
