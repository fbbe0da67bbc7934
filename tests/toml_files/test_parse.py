"""A text and its grammar: everything that is wrong at once, in bounded time and in bounded words."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from typing import Annotated

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.toml_files.bounds import DEEPEST, LARGEST_CHARACTERS, excess
from eyeline.toml_files.grammar import REQUIRED, Default, between, keys_of, one_of, stated
from eyeline.toml_files.mistake import MOST_LISTED, Problem, mistake, shown_key
from eyeline.toml_files.parse import NoToml, parse
from eyeline.toml_files.values import LONGEST_NAMED


@dataclass(frozen=True, slots=True)
class Lens:
    """A lens."""

    name: Annotated[str | None, "its name", REQUIRED] = None
    millimetres: Annotated[Annotated[float, between(1, 1000)] | None, "focal length"] = None


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag."""

    colour: Annotated[Annotated[str, one_of("black", "grey")] | None, "its colour", Default('"black"')] = None
    pockets: Annotated[int | None, "how many pockets"] = None
    closed: Annotated[bool | None, "whether it is closed"] = None
    lens: Annotated[list[Lens], "what is in it"] = field(default_factory=list)
    weights: Annotated[dict[str, float], "grams of each part"] = field(default_factory=dict)


def test_a_sound_text_is_a_table_of_plain_values() -> None:
    text = 'colour = "grey"\n[[lens]]\nname = "a"\nmillimetres = 85\n[weights]\nstrap = 120\n'
    read = parse("bag.toml", text, Bag)
    assert read.table == Bag("grey", lens=[Lens("a", 85.0)], weights={"strap": 120.0})
    assert not read.mistakes and not read.pruned
    assert stated(read.table) == {"colour": "grey", "lens": [Lens("a", 85.0)], "weights": {"strap": 120.0}}


def test_everything_that_is_wrong_is_told_at_once_and_the_rest_is_read() -> None:
    text = (
        'color = "grey"\npockets = true\nclosed = "no"\n'
        "[[lens]]\nname = 'a'\nmillimetres = 0.5\n[[lens]]\nname = 'b'\nmilimetres = 85\n"
        "[weights]\nstrap = '120'\nlid = nan\nplate = 80\n"
    )
    read = parse("bag.toml", text, Bag)
    assert [str(each) for each in read.mistakes] == [
        "bag.toml, line 1: color: unknown key; did you mean 'colour'?",
        "bag.toml, line 2: pockets: expected a whole number, found true",
        'bag.toml, line 3: closed: expected true or false, found "no"',
        "bag.toml, line 6: lens[0].millimetres: expected a number from 1 to 1000, found 0.5",
        "bag.toml, line 9: lens[1].milimetres: unknown key; did you mean 'millimetres'?",
        'bag.toml, line 11: weights.strap: expected a number, found "120"',
        "bag.toml, line 12: weights.lid: expected a number, found nan",
    ]
    assert read.table == Bag(lens=[Lens("a"), Lens("b")], weights={"plate": 80.0})


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("lens = 1", "lens: expected a table for each, as under [[ ]], found 1"),
        ('lens = "abc"', 'lens: expected a table for each, as under [[ ]], found "abc"'),
        ("[lens]\nname = 'a'", 'lens: expected a table for each, as under [[ ]], found { name = "a" }'),
        ("lens = [1]", "lens[0]: expected a table, found 1"),
        ("weights = []", "weights: expected a table, found []"),
        ("zip = 1", "zip: unknown key; known are 'colour', 'pockets', 'closed', 'lens', 'weights'"),
    ],
)
def test_a_table_is_a_table_and_a_list_is_a_list(text: str, told: str) -> None:
    assert [each.text for each in parse("bag.toml", text, Bag).mistakes] == [told]


def test_a_whole_number_beyond_64_bits_is_no_toml_10() -> None:
    """TOML 1.0.0, Integer: 64-bit signed, from -2^63 to 2^63-1."""
    assert parse("bag.toml", f"pockets = {2**63 - 1}", Bag).table.pockets == 2**63 - 1
    read = parse("bag.toml", f"pockets = {2**63}\nclosed = 1\nlens = [{{ name = -{2**63 + 1} }}]", Bag)
    assert [each.line for each in read.mistakes] == [1, 2, 3]
    assert read.table == Bag(lens=[Lens()])


def test_of_many_mistakes_the_first_are_told_and_the_rest_are_counted() -> None:
    text = "".join(f"k{number} = 1\n" for number in range(MOST_LISTED + 7000))[:LARGEST_CHARACTERS]
    text = text[: text.rindex("\n") + 1]
    lines = text.count("\n")
    mistakes = parse("bag.toml", text, Bag).mistakes
    assert [each.line for each in mistakes] == [*range(1, MOST_LISTED + 1), None]
    assert mistakes[-1].text == f"and {lines - MOST_LISTED:,} more mistakes"
    assert sum(len(each.text) for each in mistakes) < MOST_LISTED * 4 * LONGEST_NAMED


@pytest.mark.parametrize("long", ["k" * 60_000, "'" + "\u0008" * 9_000 + "'", '"' + "\\n" * 20_000 + '"'])
def test_a_message_stays_on_a_line_or_two_whatever_stands_there(long: str) -> None:
    text = f"{long} = 1" if long[0] == "k" else f"colour = {long}\n"
    try:
        mistakes = parse("bag.toml", text, Bag).mistakes
    except NoToml as error:
        mistakes = [error.mistake]
    assert len(mistakes) == 1
    assert len(str(mistakes[0])) < 4 * LONGEST_NAMED and str(mistakes[0]).isprintable()


DOTS = LARGEST_CHARACTERS // 2 - 9


@pytest.mark.parametrize(
    "text",
    [
        "a" + ".a" * DOTS + " = 1",
        "a" + ' . "b"' * (DOTS // 3) + " = 1",
        "a" + ".'b'" * (DOTS // 2) + " = 1",
        "[a" + ".a" * DOTS + "]",
        "[[" + "a." * DOTS + "a]]",
        "a = {b" + ".a" * DOTS + " = 1}",
        "a = " + "[" * DOTS,
        "a = " + "{a=" * (DOTS // 2),
        "a = " + "[" * (DEEPEST + 1) + "]" * (DEEPEST + 1),
    ],
)
def test_what_is_nested_too_deep_is_refused_before_the_parser_works_on_it(text: str) -> None:
    with pytest.raises(NoToml) as caught:
        parse("bag.toml", f"\n{text}", Bag)
    assert caught.value.mistake.line == 2
    assert caught.value.mistake.problem == f"keys, arrays or tables are nested more than {DEEPEST} deep"


@pytest.mark.parametrize(
    "text",
    [
        'a = "' + "." * 60_000 + '"',
        'a = "' + "a." * 30_000 + '"',
        "a = '" + "[" * 60_000 + "'",
        'a = """\n' + "[a.\n" * 10_000 + '\\""" " "" """',
        "# " + "a." * 30_000,
        "a = 1  # " + "[" * 60_000,
        "\n".join(f"[t{number}.a.b.c]\nx.y = [1.5, [2.5]]" for number in range(1500)),
        "a" + ".a" * (DEEPEST - 1) + " = 1",
        "a = " + "[" * DEEPEST + "]" * DEEPEST,
    ],
)
def test_dots_and_brackets_in_texts_and_comments_are_no_nesting(text: str) -> None:
    tomllib.loads(text)
    assert excess(text) is None


@given(st.text(alphabet="ab.[]{}\"'\\#\n =", max_size=300))
def test_the_bounds_hold_for_whatever_the_standard_parser_reads(text: str) -> None:
    """What is let through is never nested deeper than what the bounds say."""
    try:
        tree = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        excess(text)
        return
    assert excess(text) is None or depth(tree) > 3  # 300 characters that are refused do nest


def depth(value: object) -> int:
    """Levels of tables and arrays in `value`."""
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return 1 + max(map(depth, inside), default=0) if isinstance(value, dict | list) else 0


def test_the_keys_of_a_table_have_meaning_and_default() -> None:
    keys = {each.name: each for each in keys_of(Bag)}
    assert keys["colour"].description == 'its colour (default: "black")'
    assert keys["lens"].description == "what is in it"
    assert keys_of(Lens)[0].default is REQUIRED


def test_a_key_is_shown_as_it_is_written() -> None:
    assert shown_key(("crops", "formats", "4:5", "pixels")) == 'crops.formats."4:5".pixels'
    assert shown_key(("either", 1, "measure")) == "either[1].measure"
    assert shown_key(("a\nb",)) == '"a\\nb"'


def test_known_names_are_listed_where_none_is_near_unless_they_are_many() -> None:
    few = mistake(Problem(("k",), "no such word", "zzz", ("one", "two")), "f", 1)
    assert few.text == "k: no such word; known are 'one', 'two'"
    many = mistake(Problem(("k",), "no such word", "zzz", tuple(map(str, range(99)))), "f", 1)
    assert many.text == "k: no such word"
