"""From ratings in sidecars to the user's own genre file: the whole way, with invented measures."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np

from eyeline.agreement.rated import stars_of
from eyeline.deciding.decide import Decider
from eyeline.exiftool import ExifTool
from eyeline.ledger import Photo
from eyeline.run.learn import lessons, overall, ratings
from eyeline.settings.own_genre import edit
from eyeline.settings.rules import rules_in_force
from eyeline.terms.measurement import Measurement
from tests.agreement.photographers import GENRE, SITTING, lexicographic, rates
from tests.deciding.decider import measured, open_decider

COUNT = 150
SIDECAR = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    '<rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:Rating="{}"/></rdf:RDF>'
    "</x:xmpmeta>"
)


def shoot_rated_by_a_person(decider: Decider, home: Path) -> list[Photo]:
    rated = rates(lexicographic, COUNT, 0)
    photos = []
    for row in range(COUNT):
        path = home / f"sitting {row // SITTING:02}" / f"IMG_{row}.jpg"
        photo = measured(decider, path)
        names = (*rated.columns.numbers, *rated.columns.words)
        taken = tuple(Measurement(name, rated.columns.value(name, row)) for name in names)
        photos.append(replace(photo, measurements=taken, points=None))
        decider.ledger.photos.record(photos[-1])
        path.with_suffix(".xmp").write_text(SIDECAR.format(rated.theirs[row]))
    return photos


def test_a_taste_becomes_a_rule_file_that_agrees_better(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as opened:
        decider = replace(opened, genres=(GENRE,))
        photos = shoot_rated_by_a_person(decider, tmp_path)
        known = ratings(decider, [*decider.verdicts(photos)]).rated
        assert len(known) == COUNT
        (lesson,) = lessons(decider, known)
        assert lesson.proposal.genre == GENRE
        assert lesson.proposal.why_not is None, lesson.proposal.why_not
        assert lesson.partings
        made = edit(GENRE, lesson.proposal.changes, decider.configuration)
        assert list(decider.configuration.rules.glob("*")) == []
        made.apply()
        assert tomllib.loads(made.file.read_text())["name"] == GENRE
        learned, _ = rules_in_force(decider.configuration)
        assert learned.mistakes == ()
        later = replace(decider, rules=learned)
        before, after = overall(known), overall(ratings(later, [*later.verdicts(photos)]).rated)
        assert (after.kappa or 0) - (before.kappa or 0) > 0.1
        fresh = rates(lexicographic, 500, 77)
        given = stars_of(learned.rules.genre(GENRE), fresh.columns)
        old = stars_of(decider.rules.rules.genre(GENRE), fresh.columns)
        assert np.abs(fresh.theirs - given).mean() < np.abs(fresh.theirs - old).mean()


def test_ratings_of_eyelines_own_teach_nothing(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photos = [measured(decider, tmp_path / "sitting" / f"IMG_{number}.jpg") for number in range(3)]
        list(decider.decide(photos))
        found = ratings(decider, [*decider.verdicts(photos)])
        assert (found.rated, found.stood, found.unrated) == ((), 3, 0)


def test_who_has_gone_through_all_of_it_agrees_where_the_stars_stand(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photos = [measured(decider, tmp_path / "sitting" / f"IMG_{number}.jpg") for number in range(3)]
        photos[0].frame.path.with_suffix(".xmp").write_text(SIDECAR.format(2))
        list(decider.decide(photos))
        found = ratings(decider, [*decider.verdicts(photos)], agreed=True)
        assert len(found.rated) == 3
        assert [each.theirs == each.verdict.stars for each in found.rated[1:]] == [True, True]
        assert found.rated[0].theirs == 2


def test_a_rating_that_equals_eyelines_own_is_a_rating(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "sitting" / "IMG_1.jpg")
        judged = [*decider.verdicts([photo])]
        ((_, verdict),) = judged
        photo.frame.path.with_suffix(".xmp").write_text(SIDECAR.format(verdict.stars))
        list(decider.decide([photo]))
        assert [each.theirs for each in ratings(decider, judged).rated] == [verdict.stars]
