"""What lies on the table is what eyeline decides: the same verdicts, made another way."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from eyeline.judging.verdict import judge, judged_otherwise
from eyeline.pages.review.spread import lay, short_numbers
from eyeline.pages.review.tuning import Wish, tuned
from eyeline.run.brief import brief_of
from eyeline.run.session import open_session
from eyeline.settings.configuration import load_configuration
from tests.pages.review.conftest import SERIES


def test_every_verdict_is_the_decided_one_but_for_its_crops(measured_shoot: Path) -> None:
    folder, configuration = measured_shoot / "shoot", load_configuration(measured_shoot / "config.toml")
    with open_session(configuration, [folder], (), True, lambda _: None) as session:
        photos = session.ledger.photos.in_folder(folder)
        part = lay(session.decider, folder, photos)
        decided = {photo.frame.path: verdict for photo, verdict in session.decider.verdicts(photos)}
        assert len(part.laid) == len(decided)
        for laid in part.laid:
            verdict = decided[laid.path]
            assert part.verdict(laid) == replace(verdict, crops=(), no_crops=())
            assert (laid.stars, laid.genre) == (verdict.stars, verdict.genre)
            photo = session.ledger.photos.at(laid.path)
            assert photo is not None
            assert part.crops(laid, photo).crops == verdict.crops
    assert {each.path.name for each in part.laid if each.series} == set(SERIES)


def test_another_genre_in_one_place_is_judged_as_if_all_were_judged_anew(measured_shoot: Path) -> None:
    folder, configuration = measured_shoot / "shoot", load_configuration(measured_shoot / "config.toml")
    with open_session(configuration, [folder], (), True, lambda _: None) as session:
        rules = session.decider.rules
        part = lay(session.decider, folder, session.ledger.photos.in_folder(folder))
        assert part.judgement is not None and part.table is not None
        brief = list(part.brief)
        brief[0] = tuned(brief[0], {"headroom": Wish(low=0.2, high=0.3, weight=9)})
        anew = judge(part.table.columns, brief, rules.vocabulary, rules.quantities)
        light = judged_otherwise(part.judgement, 0, brief[0])
    assert light.stars.tolist() == anew.stars.tolist() and light.served.tolist() == anew.served.tolist()
    assert light.rules_digest == anew.rules_digest
    for row in range(len(part.laid)):
        assert light.verdict(row) == anew.verdict(row)
    ranked = [each.verdict.stars or 0 for each in part.table.placed(anew, rules.vocabulary)]
    assert part.table.stars(light).tolist() == ranked


def test_the_brief_of_what_lies_there_is_that_of_the_ledger(measured_shoot: Path) -> None:
    folder, configuration = measured_shoot / "shoot", load_configuration(measured_shoot / "config.toml")
    with open_session(configuration, [folder], (), True, lambda _: None) as session:
        photos, rules = session.ledger.photos.in_folder(folder), session.decider.rules
        part = lay(session.decider, folder, photos)
        assert part.table is not None
        read = brief_of(folder, session.ledger, configuration, rules)
        laid = brief_of(folder, session.ledger, configuration, rules, known={folder: part.table})
    assert read == laid
    assert read.photos == len(photos) and any(line.there for line in read.lines)


def test_numbers_are_what_people_call_frames() -> None:
    assert short_numbers([Path("NL1_1040.jpg"), Path("NL1_1041.jpg")]) == ["1040", "1041"]
    assert short_numbers([Path("A_1.jpg"), Path("B_1.jpg"), Path("c.jpg")]) == ["A_1", "B_1", "c"]
