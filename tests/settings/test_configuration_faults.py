"""A configuration with faults: all told at once, each with its line, whatever the file holds."""

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from eyeline.errors import BadConfiguration
from eyeline.settings.configuration import Configuration, load_configuration
from tests.settings.test_configuration import WHOLE, faults


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "config.toml"


def test_a_named_file_that_is_not_there_is_told(file: Path) -> None:
    with pytest.raises(BadConfiguration, match="no such file"):
        load_configuration(file)


def test_all_faults_at_once_each_with_its_line(file: Path) -> None:
    told = faults(
        file,
        "# mine\n"
        'workres = 2\nquiet_seconds = "2"\nfive_stars = 1\n'
        'write = "inside"\n\n'
        '[[folder]]\npath = "/a"\ngenre = ["x"]\n'
        '[[folder]]\ngenres = ["x", "x"]\n'
        '[[folder]]\npath = "/a"\n',
    )
    assert told.splitlines() == [
        "these lines are wrong:",
        "  line 2: workres: unknown key; did you mean 'workers'?",
        '  line 3: quiet_seconds: expected a number from 0 to 3600, found "2"',
        "  line 4: five_stars: expected true or false, found 1",
        '  line 5: write: expected "sidecar" or "embedded", found "inside"',
        "  line 9: folder[0].genre: unknown key; did you mean 'genres'?",
        "  line 10: folder[1]: this folder has no path",
        "  line 11: folder[1].genres: expected a list of different names, "
        'such as ["corporate headshot"], found ["x", "x"]',
        '  line 13: folder[2].path: "/a" is named twice',
    ]


@pytest.mark.parametrize(
    "text",
    [
        "workers = 0",
        "workers = 65",
        "workers = 2.0",
        "workers = true",
        "quiet_seconds = nan",
        "quiet_seconds = inf",
        "quiet_seconds = -1",
        "quiet_seconds = true",
        'genres = "corporate headshot"',
        'genres = [""]',
        "genres = [1]",
        'sidecar_name = "Replace"',
        'five_stars = "yes"',
        "sitting_quiet_seconds = -1",
        'longest_unwritten_seconds = "20"',
        'ledger = ""',
        'ledger = "a\\u0000b"',
        "ledger = 1979-05-27",
        'rules = "~nobody-of-this-name/rules"',
        'folder = "/a"',
        "[folder]\npath = '/a'",
        "folder = [1]",
        "workers = [[[[[[[[1]]]]]]]]",
        '[[folder]]\npath = ["/a"]',
    ],
)
def test_a_value_that_is_not_what_is_expected_is_one_fault_with_its_line(file: Path, text: str) -> None:
    told = faults(file, f"\n{text}\n")
    assert told.startswith("line ") and int(told[5]) == 2 + text.count("\n") * (text.startswith("[[")), told


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"workers = \n", "line 1: this is not TOML"),
        (b"workers = 1\nworkers = 2\n", "line 2: this is not TOML"),
        (b"# one\nrules = '\xff'\n", "line 2: this is no UTF-8"),
        (b"a = " + b"[" * 20_000, "line 1: keys, arrays or tables are nested more than 32 deep"),
        (b"a = " + b"9" * 20_000, "a number has thousands of digits"),
        (b"# " + b"x" * 70_000, "65,536"),
        (b"# " + b"x" * 300_000, "65,536"),
    ],
)
def test_what_is_no_toml_is_told(file: Path, content: bytes, told: str) -> None:
    file.write_bytes(content)
    with pytest.raises(BadConfiguration) as caught:
        load_configuration(file)
    assert told in str(caught.value) and str(file) in str(caught.value)


def test_a_byte_order_mark_and_foreign_line_ends_are_no_fault(file: Path) -> None:
    file.write_bytes(b"\xef\xbb\xbf# mine\r\nworkers = 2\r\n")
    assert load_configuration(file).workers == 2
    file.write_bytes(b"\xef\xbb\xbf# mine\r\n\r\nworker = 2\r\n")
    with pytest.raises(BadConfiguration, match="line 3"):
        load_configuration(file)


def test_a_message_stays_short_and_on_its_lines_whatever_the_file_holds(file: Path) -> None:
    told = faults(file, f'"{"k" * 30_000}" = 1\nworkers = "{"v" * 30_000}"\n"\\u001b[31m\\n" = 1\n')
    assert len(told) < 1500 and len(told.splitlines()) == 4
    assert all(line.isprintable() for line in told.splitlines())


def test_a_number_without_end_is_a_fault_like_any_other(file: Path) -> None:
    digits = "F" * 30_000
    told = faults(file, f"workers = 0x{digits}\ngenres = [0x{digits}]")
    assert told.splitlines() == [
        "these lines are wrong:",
        "  line 1: workers: a whole number has more than 64 bits",
        "  line 2: genres[0]: a whole number has more than 64 bits",
    ]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(start=st.integers(0, len(WHOLE)), length=st.integers(0, 40), instead=st.binary(max_size=12))
def test_a_file_that_was_damaged_anyhow_is_read_or_refused(
    file: Path, start: int, length: int, instead: bytes
) -> None:
    whole = WHOLE.encode()
    file.write_bytes(whole[:start] + instead + whole[start + length :])
    try:
        assert isinstance(load_configuration(file), Configuration)
    except BadConfiguration as error:
        assert error.file == file and error.what and error.cure


def test_a_pipe_or_a_folder_of_that_name_holds_nobody_up(file: Path) -> None:
    os.mkfifo(file)
    with pytest.raises(BadConfiguration, match="no file"):
        load_configuration(file)
    file.unlink()
    file.mkdir()
    with pytest.raises(BadConfiguration, match="no file"):
        load_configuration(file)
