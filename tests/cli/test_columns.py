"""Eighty columns are enough for what is read in a terminal."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from eyeline.cli.lines import COLUMNS, folded
from eyeline.cli.main import main
from eyeline.cli.parsers import VERBS
from eyeline.cli.table import print_table
from eyeline.cli.watch import Terminal, judged_line
from eyeline.run.announcements import FrameJudged
from eyeline.settings.configuration import Tell
from tests.cli.conftest import run_here
from tests.judging.shipped import rules
from tests.ledger.invented import decision


def too_long(text: str) -> list[str]:
    """Lines that could have been shorter: a single word, such as a path, could not."""
    return [line for line in text.splitlines() if len(line) > COLUMNS and len(line.split()) > 1]


@pytest.mark.parametrize("name", rules().genres)
@pytest.mark.parametrize("options", [[], ["--origin"]], ids=["page", "origin"])
def test_a_genre_fits(name: str, options: list[str], tmp_path: Path) -> None:
    ran = run_here(tmp_path, "genres", "show", name, *options)
    assert ran.returncode == 0 and not too_long(ran.stdout)
    genre = rules().genres[name]
    if options:
        said = " ".join(ran.stdout.split())
        assert all(f"{line.key} = " in said for line in genre.lines)
    else:
        assert len(ran.stdout.splitlines()) < 100
        assert all(each.name.replace("_", " ") in ran.stdout for each in genre.criteria)


def test_the_list_of_genres_fits(tmp_path: Path) -> None:
    ran = run_here(tmp_path, "genres")
    assert not too_long(ran.stdout.replace(str(tmp_path), "~"))
    assert all(name in ran.stdout for name in rules().genres)


@pytest.mark.parametrize("verb", ["", *VERBS])
def test_help_fits(verb: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(COLUMNS))
    with pytest.raises(SystemExit):
        main([*([verb] if verb else []), "--help"])
    said = capsys.readouterr().out
    assert said.startswith("usage: eyeline") and not too_long(said)


def many_words() -> tuple[str, ...]:
    return tuple(f"keyword number {number}" for number in range(8))


def test_a_photo_is_a_line_of_the_table_however_many_keywords_it_has() -> None:
    one = decision(Path("/shoots/monday/NL1_0213.jpg"))
    one = replace(one, verdict=replace(one.verdict, keywords=many_words()))
    out = StringIO()
    print_table(Console(file=out, width=COLUMNS), [one] * 61, Path("/shoots/monday"))
    lines = out.getvalue().splitlines()
    assert len(lines) == 62 and not too_long(out.getvalue())
    assert lines[1].startswith("NL1_0213.jpg") and "keyword number 0" in lines[1]


def test_stars_of_the_photographers_own_are_shown_as_theirs() -> None:
    eyelines, own = (decision(Path(f"/shoots/monday/NL1_{number}.jpg")) for number in ("0213", "0214"))
    out = StringIO()
    print_table(Console(file=out, width=COLUMNS), [eyelines, own], Path("/shoots/monday"), {own.path: 5})
    _, first, second = out.getvalue().splitlines()
    assert "yours" not in first and "★★★★★ yours" in second


def test_the_daemon_shows_the_photographer_s_stars_where_they_gave_some() -> None:
    frame = FrameJudged(Path("/shoots/monday/NL1_0213.jpg"), "corporate headshot", 3, ("headshot",))
    assert judged_line(frame) == "★★★   monday/NL1_0213.jpg  corporate headshot: headshot"
    own = replace(frame, own_stars=5)
    (line,) = Terminal(Tell())._judged(own)
    assert " ".join(line.split()).startswith("★★★★★ monday/NL1_0213.jpg yours, ★★★ by eyeline:")
    terminal = Terminal(Tell())
    terminal._judged(frame)
    assert "now, ★★★ before: yours" in " ".join(terminal._judged(own)[0].split())
    assert terminal._judged(own) == []


def test_what_the_daemon_says_of_a_photo_fits_and_has_all_keywords() -> None:
    path = Path("/shoots/a very long name of a job for somebody/NL1_0213.jpg")
    line = judged_line(FrameJudged(path, "corporate headshot", 4, many_words()), "now, ★★★ before: ")
    assert not too_long(line) and all(word in " ".join(line.split()) for word in many_words())


def test_a_path_is_never_parted() -> None:
    path = "/shoots/" + "x" * 100 + "-y.jpg"
    assert path in folded(f"  nearest {path}: too dark", 4).splitlines()[1]


def test_a_command_is_never_parted() -> None:
    command = "eyeline why --config /tmp/some/where/config.toml /tmp/some/where/else/arriving/NL1_1004.jpg"
    assert command in folded(f"To know why, of one photo and of no other one: {command}", 2).splitlines()[1]
    assert folded(f"  {command}", 4) == f"  {command}"


def test_no_text_steers_the_terminal() -> None:
    assert folded("  a\x1b[2Jb\x07", 4) == "  a\\x1b[2Jb\\x07"
