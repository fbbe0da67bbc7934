from __future__ import annotations

from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.settings.folder_file import FILE_NAME, folder_file
from eyeline.settings.sitter_list import sitter_list
from eyeline.sitting.seats import Chair, Seats


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("17,Alva Example\n18,Bo Example\n", [("17", "Alva Example"), ("18", "Bo Example")]),
        ("Alva Example\nBo Example\n", [("1", "Alva Example"), ("2", "Bo Example")]),
        ("17\n\n18\n", [("17", ""), ("18", "")]),
        ("number;name\r\n17;Älva\r\n", [("17", "Älva")]),  # as spreadsheets write it
        ("Name\tNumber\nAlva\t17\n", [("17", "Alva")]),
        ('17,"Example, Alva"\n# a remark\n', [("17", "Example, Alva")]),
        ("\ufeff17,Alva,alva@example.org\n", [("17", "Alva")]),
        ("name\nAlva\n", [("1", "Alva")]),
    ],
)
def test_numbers_names_or_both(text: str, expected: list[tuple[str, str]], tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(text, newline="")
    assert sitter_list(path) == tuple(Chair(*each) for each in expected)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("17,Alva\n17,Bo\n", 'line 2: number "17" sits twice'),
        ("# nobody\n", "this list has no sitter"),
        ('17,"Alva\n', "line 1: unexpected end of data"),
        ("17,Al\x1bva\n", "line 1: "),
    ],
)
def test_a_mistake_is_told_with_its_line(text: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(text)
    with pytest.raises(BadConfiguration) as error:
        sitter_list(path)
    assert told in str(error.value) and "\x1b" not in str(error.value)


def test_the_folders_file_names_its_list_and_a_mistake_in_it_is_the_files(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_text('sitter_list = "list.csv"\nsitters = "said"\n')
    read = folder_file(tmp_path, tmp_path, ())
    assert read.fault is not None and "list of sitters list.csv: there is no such list" in str(read.fault)
    (tmp_path / "list.csv").write_text("17,Alva\n")
    assert folder_file(tmp_path, tmp_path, ()).seats == Seats(tmp_path, "said", (Chair("17", "Alva"),))


def test_a_list_lies_beside_the_file_and_nowhere_else(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_text('sitter_list = "../list.csv"\n')
    assert "the name of a .csv file in the same folder" in str(folder_file(tmp_path, tmp_path, ()).fault)


def test_who_sits_matters_where_a_line_counts_per_sitter(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_text('[[brief]]\ngenre = "team page"\nper = "sitter"\n')
    assert folder_file(tmp_path, tmp_path, {"team page"}).seats == Seats(tmp_path, "slates", ())
    (tmp_path / FILE_NAME).write_text('[[brief]]\ngenre = "team page"\n')
    assert folder_file(tmp_path, tmp_path, {"team page"}).seats is None
