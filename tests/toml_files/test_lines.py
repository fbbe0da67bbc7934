"""Where keys stand: every path that the standard parser finds, each on the line where its value is."""

import tomllib
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.toml_files.lines import KeyPath, key_lines, line_of

HARD = r"""# [not.a.table]
title = "a [b] # c = 1"     # key = 2
'quoted.one' = 1
"esc\"aped\u00e9" = 2
"" = 3
when = 1979-05-27 07:32:00  # a date with a space
long = QQQ
[fake]
fake = 1 \QQQ
still inside "QQQ
raw = '''
fake_too = 1
'''
a.b . "c d" = 4
list = [ # comment with ] and ,
  1,
  "x,]#",
  { y = 5, z = [
    6 ] },
  [], # nothing
]

[ top . "in.ner" ]
key = 7
[[crop]]
format = "1:1"
[crop.size]
width = 8
[[crop]]
format = "4:5"
[[crop.output]]
height = 9
[[crop.output]]
height = 10
[crop.output.paper]
name = 'glossy [A4] # thick'
[top]
late = true""".replace("QQQ", '"' * 3)


def paths(value: object, path: KeyPath = ()) -> Iterator[tuple[KeyPath, object]]:
    """Every path of a parsed document with its value, by the standard parser's own account."""
    children: list[tuple[str | int, object]] = []
    if isinstance(value, dict):
        children = list(value.items())
    elif isinstance(value, list):
        children = list(enumerate(value))
    for name, child in children:
        yield (*path, name), child
        yield from paths(child, (*path, name))


def test_every_path_of_a_hard_document_is_found_and_no_other() -> None:
    assert set(key_lines(HARD)) == {path for path, _ in paths(tomllib.loads(HARD))}


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_each_value_stands_on_the_line_told(newline: str) -> None:
    text = HARD.replace("\n", newline)
    lines, rows = key_lines(text), text.split("\n")
    numbers = [(path, value) for path, value in paths(tomllib.loads(text)) if type(value) is int]
    assert len(numbers) == 11
    for path, value in numbers:
        assert str(value) in rows[lines[path] - 1], path
    assert rows[lines["title",] - 1].startswith("title")
    assert rows[lines["list", 1] - 1].strip() == '"x,]#",'
    assert rows[lines["crop", 1, "output", 1, "paper", "name"] - 1].startswith("name")
    assert rows[lines["top", "late"] - 1].startswith("late")


NAMES = st.sampled_from(["a", "b", "a-1", '"x.y"', "'#['", '"\\t\\"]"'])
KEYS = st.lists(NAMES, min_size=1, max_size=3).map(" . ".join)
SCALARS = st.sampled_from(["{n}", '"{n} # [k]"', "'{n}]'", "[\n  {n}, [ ] # ,\n]", "{{ k = {n}, '}}' = 1 }}"])
STATEMENTS = st.one_of(
    st.tuples(KEYS, SCALARS).map(lambda pair: f"{pair[0]} = {pair[1]}"),
    KEYS.map("[{}]".format),
    KEYS.map("[[{}]]".format),
    st.sampled_from(["", "  # k = 1 [x]", 't{n} = """\n[x]\nk = 1\n""" # {n}']),
)


@given(st.lists(STATEMENTS, max_size=12))
def test_whatever_the_standard_parser_reads_is_located(statements: list[str]) -> None:
    text = ""
    for number, statement in enumerate(statements, 1000):
        longer = text + (statement.format(n=number) if "{n}" in statement else statement) + "\n"
        try:
            tomllib.loads(longer)
        except tomllib.TOMLDecodeError:
            continue  # this statement contradicts an earlier one
        text = longer
    lines, rows = key_lines(text), text.split("\n")
    found = dict(paths(tomllib.loads(text)))
    assert set(lines) == set(found)
    for path, value in found.items():
        if type(value) is int and value >= 1000:
            assert str(value) in rows[lines[path] - 1]


def test_a_path_that_is_not_there_has_the_line_of_what_would_hold_it() -> None:
    lines = key_lines("\n[a]\nb = 1\n")
    assert line_of(lines, ("a", "b")) == 3
    assert line_of(lines, ("a", "missing")) == 2
    assert line_of(lines, ("elsewhere",)) == 1


def test_what_is_no_toml_is_refused_like_the_standard_parser_does() -> None:
    with pytest.raises(tomllib.TOMLDecodeError):
        key_lines("a = [1")


def test_an_empty_text_has_no_keys() -> None:
    assert key_lines("") == {}
