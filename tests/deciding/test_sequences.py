"""Any sequence of what people, other programs and eyeline do to a shoot, and what must hold after each step.

Nothing foreign is lost, nothing that somebody took out comes back, do and undo is before byte for byte, and
the daemon and `eyeline run` come to the same. Everything is real but the measuring.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from eyeline.deciding.decide import Decider
from eyeline.exiftool import ExifTool
from eyeline.intake.identity import image_digest
from eyeline.ledger import Outcome
from eyeline.run.take_back import in_doubt, let_write_anew
from eyeline.sidecar.naming import Naming
from tests.deciding.decider import measured, open_decider, undone

GENRES = ("corporate headshot", "tight close crop", "loose keeper", "copy space left", "copy space right")
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
XMP = "{http://ns.adobe.com/xap/1.0/}"
EMPTY = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"/>'
    "</x:xmpmeta>"
)


@cache
def exiftool() -> ExifTool:
    return ExifTool()


@dataclass
class Theirs:
    """What a person or another program has written into one sidecar, and what they took out of it."""

    words: set[str] = field(default_factory=set)
    rating: str | None = None
    removed: set[str] = field(default_factory=set)


def texts(sidecar: Path) -> tuple[set[str], str | None]:
    """List items and rating, by the standard library's parser."""
    root = ElementTree.parse(sidecar).getroot()
    words = {element.text or "" for element in root.iter(f"{RDF}li") if not len(element)}
    rating = next((each.text for each in root.iter(f"{XMP}Rating")), None)
    for description in root.iter(f"{RDF}Description"):
        rating = description.get(f"{XMP}Rating", rating)
    return words, rating


class Shoot(RuleBasedStateMachine):
    """A card with a few photos, a second folder, one ledger."""

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.home = Path(self.stack.enter_context(tempfile.TemporaryDirectory()))
        self.decider: Decider = self.stack.enter_context(open_decider(self.home, exiftool()))
        self.theirs: dict[Path, Theirs] = {}
        self.number = 0

    @initialize()
    def photos_arrive(self) -> None:
        for folder, name in (("card", "a.jpg"), ("card", "b.jpg"), ("other", "c.jpg")):
            path = self.home / folder / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(f"photo {name}".encode())

    @property
    def photos(self) -> list[Path]:
        return sorted(path for folder in ("card", "other") for path in (self.home / folder).glob("*.jpg"))

    def one(self, number: int) -> Path | None:
        photos = self.photos
        return photos[number % len(photos)] if photos else None

    def decide(self, genre: str, *, only_new: bool) -> dict[Path, Outcome]:
        photos = [
            measured(self.decider, path, digest=image_digest(path.read_bytes())) for path in self.photos
        ]
        decider = replace(self.decider, genres=(genre,))
        return {photo.frame.path: made.outcome for photo, made in decider.decide(photos, only_new=only_new)}

    def files(self) -> dict[Path, bytes]:
        folders = (self.home / "card", self.home / "other")
        return {path: path.read_bytes() for folder in folders for path in folder.iterdir()}

    def undo_all(self) -> None:
        undone(self.decider, self.home / "card")
        undone(self.decider, self.home / "other")

    @rule(genre=st.sampled_from(GENRES))
    def run(self, genre: str) -> None:
        self.decide(genre, only_new=False)

    @rule(genre=st.sampled_from(GENRES))
    def daemon_then_run_agree(self, genre: str) -> None:
        written = self.decide(genre, only_new=True)
        after = self.files()
        self.decide(genre, only_new=False)
        now = self.files()
        for path, outcome in written.items():
            if outcome is Outcome.WRITTEN:
                assert now[path.with_suffix(".xmp")] == after[path.with_suffix(".xmp")]

    @rule(genre=st.sampled_from(GENRES))
    def do_and_undo_is_before(self, genre: str) -> None:
        self.undo_all()
        before = self.files()
        self.decide(genre, only_new=False)
        self.undo_all()
        assert self.files() == before

    @rule()
    def undo(self) -> None:
        self.undo_all()
        once = self.files()
        self.undo_all()
        assert self.files() == once, "undone twice is undone"

    @rule(number=st.integers(0, 9), what=st.sampled_from(("word", "rating", "removal")))
    def another_edits(self, number: int, what: str) -> None:
        photo = self.one(number)
        if photo is None:
            return
        sidecar = photo.with_suffix(".xmp")
        theirs = self.theirs.setdefault(sidecar, Theirs())
        if not sidecar.exists():
            sidecar.write_text(EMPTY)
        self.number += 1
        if what == "word":
            theirs.words.add(f"client {self.number}")
            exiftool().edit(sidecar, [f"-XMP-dc:Subject+=client {self.number}"])
        elif what == "rating":
            theirs.rating = "5"
            exiftool().edit(sidecar, ["-XMP-xmp:Rating=5"])
        else:
            ours = sorted(word for word in texts(sidecar)[0] - theirs.words if word in ("headshot", "blink"))
            if ours:
                theirs.removed.add(ours[0])
                exiftool().edit(sidecar, [f"-XMP-dc:Subject-={ours[0]}"])

    @rule(number=st.integers(0, 9))
    def a_program_rewrites_from_its_database(self, number: int) -> None:
        photo = self.one(number)
        if photo is None or not photo.with_suffix(".xmp").exists():
            return
        sidecar = photo.with_suffix(".xmp")
        theirs = self.theirs.get(sidecar, Theirs())
        sidecar.write_text(EMPTY)
        lines = [f"-XMP-dc:Subject+={word}" for word in sorted(theirs.words)]
        lines += [f"-XMP-xmp:Rating={theirs.rating}"] if theirs.rating else []
        if lines:
            exiftool().edit(sidecar, lines)
        self.theirs[sidecar] = replace(theirs, removed=set())

    @rule()
    def take_back(self) -> None:
        for photo in list(in_doubt(self.decider.ledger, [self.home], Naming.REPLACE)):
            let_write_anew(self.decider.ledger, photo, Naming.REPLACE)
        self.allow_again()

    @rule(number=st.integers(0, 9), with_sidecar=st.booleans())
    def rename(self, number: int, with_sidecar: bool) -> None:
        self.moved(number, with_sidecar, lambda photo, to: photo.rename(to), same_folder=True)

    @rule(number=st.integers(0, 9), with_sidecar=st.booleans())
    def copy(self, number: int, with_sidecar: bool) -> None:
        self.moved(number, with_sidecar, shutil.copy, same_folder=False)

    def moved(self, number: int, with_sidecar: bool, move: Callable[..., Any], same_folder: bool) -> None:
        photo = self.one(number)
        if photo is None:
            return
        self.number += 1
        other = "card" if photo.parent.name == "other" else "other"
        folder = photo.parent if same_folder else self.home / other
        target = folder / f"moved{self.number}.jpg"
        move(photo, target)
        sidecar = photo.with_suffix(".xmp")
        if with_sidecar and sidecar.exists():
            move(sidecar, target.with_suffix(".xmp"))
            if sidecar in self.theirs:
                theirs = self.theirs[sidecar] if same_folder else replace(self.theirs[sidecar])
                self.theirs[target.with_suffix(".xmp")] = replace(
                    theirs, words=set(theirs.words), removed=set()
                )
                if same_folder:
                    del self.theirs[sidecar]
        if same_folder:
            self.decider.ledger.files.gone(photo)

    @rule(number=st.integers(0, 9))
    @precondition(lambda self: len(self.photos) > 1)
    def delete(self, number: int) -> None:
        photo = self.one(number)
        if photo is not None:
            photo.unlink()
            self.decider.ledger.files.gone(photo)

    @rule(folder=st.sampled_from(("card", "other")))
    def forget(self, folder: str) -> None:
        self.decider.ledger.forget(self.home / folder)
        self.allow_again()

    def allow_again(self) -> None:
        for theirs in self.theirs.values():
            theirs.removed.clear()

    @invariant()
    def nothing_foreign_is_lost_and_nothing_taken_out_comes_back(self) -> None:
        for sidecar, theirs in self.theirs.items():
            if not (theirs.words or theirs.rating):
                continue
            words, rating = texts(sidecar)
            assert theirs.words <= words
            assert rating == theirs.rating or theirs.rating is None
            assert not theirs.removed & words

    @invariant()
    def no_temporary_file_is_left(self) -> None:
        for folder in ("card", "other"):
            left = [path.name for path in (self.home / folder).glob(".*")]
            assert not left

    def teardown(self) -> None:
        self.stack.close()


QUICK = settings(
    max_examples=6, stateful_step_count=12, deadline=None, suppress_health_check=list(HealthCheck)
)


def test_a_few_sequences() -> None:
    from hypothesis.stateful import run_state_machine_as_test

    run_state_machine_as_test(Shoot, settings=QUICK)  # type: ignore[no-untyped-call]


def test_what_another_program_put_in_the_place_of_all_of_ours_survives_an_undo() -> None:
    """A look that refused to touch the file made it no file of eyeline's."""
    shoot = Shoot()
    try:
        shoot.photos_arrive()
        shoot.run("corporate headshot")
        shoot.another_edits(2, "word")
        shoot.a_program_rewrites_from_its_database(2)
        shoot.run("corporate headshot")
        shoot.undo()
        shoot.nothing_foreign_is_lost_and_nothing_taken_out_comes_back()
    finally:
        shoot.teardown()


@pytest.mark.slow
def test_many_sequences() -> None:
    from hypothesis.stateful import run_state_machine_as_test

    many = settings(QUICK, max_examples=12, stateful_step_count=30)
    run_state_machine_as_test(Shoot, settings=many)  # type: ignore[no-untyped-call]
