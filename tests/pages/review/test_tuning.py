"""Tuning: what is tried is what the saved rule file then gives; comments stay; two pages lose nothing."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from eyeline.agreement.proposal import RangeChange, WeightChange
from eyeline.judging.rulebook import Rulebook
from eyeline.pages.review.spread import Spread, lay
from eyeline.pages.review.tune_rows import wishes_of
from eyeline.pages.review.tuning import Wish, changes, trial, tuned
from eyeline.run.session import Session, open_session
from eyeline.settings.configuration import load_configuration
from tests.pages.review.conftest import Page, reviewed
from tests.waiting import wait_until

GENRE = "corporate headshot"
WISH = {"headroom": Wish(low=0.18, high=0.26, weight=2.5)}


@pytest.fixture(scope="module")
def home(measured_shoot: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home whose ledger and rules may be changed; the shoot is the measured one."""
    home = tmp_path_factory.mktemp("tuned")
    for name in ("ledger.sqlite3", "config.toml"):
        shutil.copy(measured_shoot / name, home)
    return home


@pytest.fixture(scope="module")
def session(measured_shoot: Path, home: Path) -> Iterator[Session]:
    configuration = load_configuration(home / "config.toml")
    with open_session(configuration, [measured_shoot / "shoot"], (), True, lambda _: None) as session:
        yield session


def spread_of(session: Session, folder: Path) -> Spread:
    return Spread(1, (lay(session.decider, folder, session.ledger.photos.in_folder(folder)),))


def genre(session: Session) -> Rulebook:
    return session.decider.rules.rules.genre(GENRE)


def test_as_saved_nothing_changes(session: Session, measured_shoot: Path) -> None:
    spread = spread_of(session, measured_shoot / "shoot")
    found = trial(spread, GENRE, genre(session), {}, False)
    assert found.tried
    assert not found.changed
    assert all(each.score_before == pytest.approx(each.score_after) for each in found.tried)


def test_agreement_is_that_of_both_with_the_photographer_s_stars(
    session: Session, measured_shoot: Path
) -> None:
    spread = spread_of(session, measured_shoot / "shoot")
    ours = {each.key: each.stars or 1 for each in spread.frames if each.genre == GENRE}
    found = trial(spread, GENRE, tuned(genre(session), WISH), ours, False)
    assert found.agreement_before is not None
    assert found.agreement_before.kappa == 1  # with eyeline's own stars it agrees wholly
    assert found.agreement_after is not None
    assert found.agreement_after.photos == len(ours)


@pytest.mark.parametrize(
    "wish",
    [Wish(low=0.3, high=0.2), Wish(weight=-1), Wish(weight=float("nan"))],
    ids=["range", "less", "nan"],
)
def test_a_wish_that_makes_no_sense_is_refused(session: Session, wish: Wish) -> None:
    with pytest.raises(ValueError):
        tuned(genre(session), {"headroom": wish})


def test_a_range_moves_a_limit_only_out_of_its_way(session: Session) -> None:
    before = genre(session)
    (change,) = changes(before, tuned(before, {"headroom": Wish(low=-0.05)}))
    assert isinstance(change, RangeChange)
    low, ideal_low, ideal_high, high = change.after
    assert (ideal_low, ideal_high, high) == (-0.05, 0.12, 0.34)
    assert low == pytest.approx(-0.05 - 0.09)
    assert changes(before, tuned(before, {"turn": Wish(weight=0)})) == (WeightChange("turn", 0.7, 0),)


def test_fields_that_say_what_is_saved_wish_nothing(session: Session, measured_shoot: Path) -> None:
    spread = spread_of(session, measured_shoot / "shoot")
    fields = {"low.headroom": "6", "high.headroom": "12", "weight.headroom": "3", "low.eye_line": "31"}
    assert wishes_of(genre(session), fields, spread) == {"eye_line": Wish(low=0.31)}


@pytest.fixture(scope="module")
def tuning(measured_shoot: Path, home: Path) -> Iterator[Page]:
    with reviewed(measured_shoot / "shoot", home) as page:
        page.enter()
        wait_until(lambda: b"tune-form" in page.ask("GET", "/tune")[2])
        yield page


def state(page: Page) -> str:
    found = re.search(rb'name="state" value="([0-9a-f]+)"', page.ask("GET", "/tune")[2])
    assert found is not None
    return found[1].decode()


def test_what_is_tried_is_what_the_saved_file_gives_and_comments_stay(tuning: Page, home: Path) -> None:
    rules = home / "rules"
    rules.mkdir(exist_ok=True)
    mine = rules / "mine.toml"
    mine.write_text(f'# my own hand\nname = "{GENRE}"\n\n[criteria.eye_line]\nweight = 3.5  # dear to me\n')
    query = "/tune?genre=corporate+headshot&low.headroom=18&high.headroom=26"
    tried = tuning.ask("GET", query)[2]
    fields = {"genre": GENRE, "state": state(tuning), "low.headroom": "18", "high.headroom": "26"}
    assert tuning.ask("POST", "/tune/save", fields)[0] == 303
    text = mine.read_text()
    assert "# my own hand" in text
    assert "# dear to me" in text
    assert "between = [0.18, 0.26]" in text
    wait_until(lambda: b'name="low.headroom" value="18" data-saved="18"' in tuning.ask("GET", "/tune")[2])
    after = set(re.findall(rb"L212 ([\d.]+)", tuning.ask("GET", "/tune")[2]))
    assert after == set(re.findall(rb"L212 ([\d.]+)", tried))

    assert tuning.ask("POST", "/tune/put-back", {})[0] == 303
    assert "between" not in mine.read_text()
    assert "# dear to me" in mine.read_text()


def test_a_file_that_was_changed_meanwhile_is_not_written_over(tuning: Page, home: Path) -> None:
    seen = state(tuning)
    mine = home / "rules" / "mine.toml"
    mine.write_text(mine.read_text() + "\n[criteria.turn]\nweight = 0.1\n")
    fields = {"genre": GENRE, "state": seen, "weight.headroom": "9"}
    status, _, body = tuning.ask("POST", "/tune/save", fields)
    assert (status, b"changed elsewhere" in body) == (409, True)
    assert "9" not in mine.read_text()


def test_ranges_that_cannot_meet_are_said_and_not_saved(tuning: Page, home: Path) -> None:
    mine = home / "rules" / "mine.toml"
    before = mine.read_text() if mine.exists() else None
    fields = {"genre": GENRE, "state": state(tuning), "low.eye_line": "1", "high.eye_line": "2"}
    status, _, body = tuning.ask("POST", "/tune/save", fields)
    assert (status, b"would have mistakes" in body) == (409, True)
    assert (mine.read_text() if mine.exists() else None) == before
    assert tuning.ask("POST", "/tune/save", {"genre": GENRE, "weight.turn": "x"})[0] == 422
    assert tuning.ask("GET", "/tune?genre=nothing")[0] == 404
