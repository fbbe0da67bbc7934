"""The configuration: every key optional, every fault told at once with its line."""

from dataclasses import fields
from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.settings import configuration
from eyeline.settings.configuration import (
    Configuration,
    Tell,
    WatchedFolder,
    check_genres,
    load_configuration,
)
from eyeline.settings.grammar import ConfigurationTable, FolderTable, TellTable
from eyeline.settings.workers_table import WorkersTable
from eyeline.sidecar.naming import Naming
from eyeline.toml_files.grammar import keys_of

WHOLE = """\
genres = ["corporate headshot", "loose keeper"]
workers = 3
quiet_seconds = 5
write = "sidecar"
sidecar_name = "append"
five_stars = true
when_gone = "write"
sitting_quiet_seconds = 30
longest_unwritten_seconds = 90.5
sitter_keyword = "number"
ledger = "kept/ledger.sqlite3"
rules = "/my/rules"
previews = "/large/disk"
previews_gb = 0.5

[tell]
desktop = false
sound = true
command = ["/bin/ring", "-q"]
file = "told.jsonl"
socket = false
pause_seconds = 8
card_in = false
line_empty = false
flash_missed = false
eyes_soft = false
disk_nearly_full = false

[[folder]]
path = "~/Studio"

[[folder]]
path = "/jobs # 7 [today]"
genres = ["team page"]
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "config.toml"


def faults(file: Path, text: str) -> str:
    file.write_text(text)
    with pytest.raises(BadConfiguration) as caught:
        load_configuration(file)
    assert caught.value.file == file and caught.value.exit_code == 2
    return caught.value.what


def test_every_key_is_read(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", "/home/invented")
    file.write_text(WHOLE)
    read = load_configuration(file)
    assert read == Configuration(
        folders=(
            WatchedFolder(Path("/home/invented/Studio")),
            WatchedFolder(Path("/jobs # 7 [today]"), ("team page",)),
        ),
        genres=("corporate headshot", "loose keeper"),
        workers=3,
        quiet_seconds=5,
        write="sidecar",
        sidecar_name="append",
        five_stars=True,
        when_gone="write",
        sitting_quiet_seconds=30,
        longest_unwritten_seconds=90.5,
        sitter_keyword="number",
        ledger=file.parent / "kept/ledger.sqlite3",
        rules=Path("/my/rules"),
        previews=Path("/large/disk"),
        previews_gb=0.5,
        tell=Tell(
            desktop=False,
            sound=True,
            command=("/bin/ring", "-q"),
            file=file.parent / "told.jsonl",
            socket=False,
            pause_seconds=8,
            card_in=False,
            line_empty=False,
            flash_missed=False,
            eyes_soft=False,
            disk_nearly_full=False,
        ),
    )
    assert read.file == file


def test_this_page_uses_every_key() -> None:
    """Otherwise the test above proves less than it says."""
    keys = [key.name for table in (ConfigurationTable, FolderTable, TellTable) for key in keys_of(table)]
    tables = {"folder": "[[folder]]", "tell": "[tell]"}
    assert all(tables.get(key, f"\n{key} = ") in f"\n{WHOLE}" for key in keys)


def test_every_key_of_the_grammar_is_a_field_of_what_is_read() -> None:
    known = {field.name for field in fields(Configuration)}
    said_of_workers = {key.name for key in keys_of(WorkersTable)} - {"count"}
    assert {key.name for key in keys_of(ConfigurationTable)} - {"folder"} == known - {
        "folders",
        "file",
        "lines",
        *said_of_workers,
    }
    assert {key.name for key in keys_of(TellTable)} == {field.name for field in fields(Tell)}
    assert {key.name for key in keys_of(FolderTable)} == {field.name for field in fields(WatchedFolder)}


def test_an_empty_file_and_none_at_all_give_the_defaults(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file.write_text("")
    assert load_configuration(file) == Configuration()
    monkeypatch.setattr(configuration, "configuration_path", lambda: tmp_path / "none" / "config.toml")
    assert load_configuration() == Configuration()
    assert load_configuration().file is None
    (tmp_path / "none").mkdir()
    (tmp_path / "none" / "config.toml").write_text("workers = 1")
    assert load_configuration().workers == 1


def test_workers_are_a_number_or_a_table(file: Path) -> None:
    file.write_text(
        '[workers]\ncount = 4\nengine = "dask"\nscheduler = "tls://studio:8786"\ncertificates = "keys"\n'
    )
    assert load_configuration(file) == Configuration(
        workers=4, engine="dask", scheduler="tls://studio:8786", certificates=file.parent / "keys"
    )
    file.write_text('workers = { engine = "dask" }')
    assert load_configuration(file) == Configuration(engine="dask")
    told = faults(file, 'workers = "four"\n')
    assert told == 'line 1: workers: expected a whole number from 1 to 64, or a table, found "four"'


@pytest.mark.parametrize(
    ("address", "is_one"),
    [
        ("tls://studio:8786", True),
        ("tls://[fd00::7]:8786", True),
        ("tcp://127.0.0.1:8786", True),
        ("tcp://localhost:8786", True),
        ("tcp://studio:8786", False),
        ("tcp://192.168.1.7:8786", False),
        ("tcp://127.0.0.1.example:8786", False),
        ("studio:8786", False),
        ("tls://studio", False),
    ],
)
def test_a_plain_scheduler_is_on_this_machine_or_refused(file: Path, address: str, is_one: bool) -> None:
    text = f'[workers]\nscheduler = "{address}"\n'
    if is_one:
        file.write_text(text)
        assert load_configuration(file).scheduler == address
    else:
        assert faults(file, text).startswith("line 2: workers.scheduler: expected an address")


def test_the_defaults_are_safe() -> None:
    default = Configuration()
    assert default.write == "sidecar" and not default.five_stars and default.workers >= 1
    assert default.ledger.is_absolute() and default.rules.is_absolute()


def test_the_innermost_folder_that_names_genres_decides() -> None:
    read = Configuration(
        folders=(
            WatchedFolder(Path("/jobs"), ("team page",)),
            WatchedFolder(Path("/jobs/one")),
            WatchedFolder(Path("/jobs/one/tight"), ("tight close crop",)),
        ),
        genres=("corporate headshot",),
    )
    assert read.genres_for(Path("/jobs/one/tight/a.jpg")) == ("tight close crop",)
    assert read.genres_for(Path("/jobs/one/a.jpg")) == ("team page",)
    assert read.genres_for(Path("/jobsite/a.jpg")) == ("corporate headshot",)


def test_unknown_genres_are_told_with_line_and_nearest_name(file: Path) -> None:
    file.write_text(
        'genres = [\n  "corporate headshot",\n  "corporate hedshot"]\n[[folder]]\npath = "/a"\ngenres = ["x"]'
    )
    read = load_configuration(file)
    with pytest.raises(BadConfiguration) as caught:
        check_genres(read, {"corporate headshot", "team page"})
    assert caught.value.what.splitlines() == [
        "these lines are wrong:",
        "  line 3: genres[1]: no genre is called \"corporate hedshot\"; did you mean 'corporate headshot'?",
        '  line 6: folder[0].genres[0]: no genre is called "x"; '
        "known are 'corporate headshot', 'team page'",
    ]
    check_genres(read, {"corporate headshot", "corporate hedshot", "x"})
    check_genres(Configuration(), set())


@pytest.mark.parametrize(
    ("write", "sidecar_name", "naming"),
    [
        ("sidecar", "replace", Naming.REPLACE),
        ("sidecar", "append", Naming.APPEND),
        ("embedded", "replace", Naming.EMBED),
        ("embedded", "append", Naming.EMBED_OR_APPEND),
    ],
)
def test_where_to_write_is_said_here_alone(
    tmp_path: Path, write: str, sidecar_name: str, naming: Naming
) -> None:
    file = tmp_path / "config.toml"
    file.write_text(f'write = "{write}"\nsidecar_name = "{sidecar_name}"\n')
    assert load_configuration(file).naming is naming
