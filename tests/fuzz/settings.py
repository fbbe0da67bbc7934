"""Mutated rule files and configurations: read, or refused with every mistake on its line; never a crash."""

from __future__ import annotations

import math
import random
import tomllib
from functools import cache
from pathlib import Path

from eyeline.errors import BadConfiguration
from eyeline.judging.columns import Columns, columns_of
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import Rules, read_rules
from eyeline.judging.verdict import judge
from eyeline.judging.vocabulary import Vocabulary, read_vocabulary
from eyeline.measuring.catalogue import BUILT_IN, quantities
from eyeline.settings.configuration import load_configuration
from eyeline.settings.folder_file import FILE_NAME, folder_file
from eyeline.settings.rules import VOCABULARY_FILE
from eyeline.settings.shipped import shipped_folder
from eyeline.sitting.quantities import SET_QUANTITIES
from tests.fuzz.figures import Figures, resident_mib, watched
from tests.fuzz.mutate import toml

CONFIGURATION = b"""
genres = ["corporate headshot", "team page"]
workers = 2
quiet_seconds = 1.5
write = "sidecar"
sidecar_name = "append"
five_stars = true
when_gone = "ask"
sitting_quiet_seconds = 20
longest_unwritten_seconds = 300
ledger = "ledger.sqlite3"
rules = "rules"
previews = "previews"
previews_gb = 2.5

[[folder]]
path = "shoots"
genres = ["team page"]
"""

FOLDER_FILE = b"""
genres = ["corporate headshot"]
sitting = "Monday"

[[brief]]
genre = "corporate headshot"
wanted = 3
sizes = ["1600x2000"]
called = "portraits"
"""

LONGEST_MESSAGE = 30_000
"""Characters: fifty mistakes with all genres named in each stay below it."""


@cache
def shipped() -> dict[str, bytes]:
    """Every shipped rule file by name."""
    return {path.name: path.read_bytes() for path in sorted(shipped_folder("rules").glob("*.toml"))}


def fuzz_rules(folder: Path, cases: int, seed: int) -> Figures:
    """Read `cases` mutated rule files among the shipped ones, and judge by what is left."""
    figures = Figures("rules", seed)
    for case in range(cases):
        name = sorted(shipped())[case % len(shipped())]
        with watched(figures, case):
            data = toml(shipped()[name], random.Random(f"{seed} {case}"))
            try:
                text = data.decode("utf-8")
            except UnicodeDecodeError:  # `read_text` tells it
                figures.outcomes["no text"] += 1
            else:
                figures.outcomes[_read(_company(name) | {name: RuleFile(name, text)}, name)] += 1
        figures.resident_mib.append(resident_mib())
    return figures


@cache
def _company(name: str) -> dict[str, RuleFile]:
    """What the file `name` is read with: the vocabulary, all that it inherits from, and an heir."""
    trees = {each: tomllib.loads(content.decode()) for each, content in shipped().items()}
    by_genre = {tree["name"]: each for each, tree in trees.items() if "name" in tree}
    wanted = [name, VOCABULARY_FILE, "corporate-headshot.toml"]
    for each in wanted:  # grows while it is walked
        parent = by_genre.get(trees[each].get("inherits", ""))
        if parent is not None and parent not in wanted:
            wanted.append(parent)
    return {each: RuleFile(each, shipped()[each].decode()) for each in wanted}


def _read(files: dict[str, RuleFile], mutated: str) -> str:
    words = [file for name, file in files.items() if name == VOCABULARY_FILE]
    vocabulary, wrong = read_vocabulary(words)
    known = (*quantities(BUILT_IN), *SET_QUANTITIES)
    rules = read_rules([file for file in files.values() if file not in words], known, vocabulary)
    for mistake in (*wrong, *rules.mistakes):
        if not mistake.problem or len(str(mistake).splitlines()) != 1:
            raise AssertionError(f"a mistake that says too little: {mistake!r}")
    for stars, score in _verdicts(rules, vocabulary):
        if not (math.isfinite(score) and (stars is None or 1 <= stars <= 5)):
            raise AssertionError(f"{mutated}: {stars} stars, score {score}")
    return "mistakes told" if wrong or rules.mistakes else "sound"


def _verdicts(rules: Rules, vocabulary: Vocabulary) -> list[tuple[int | None, float]]:
    known = {each.name: each for each in (*quantities(BUILT_IN), *SET_QUANTITIES)}
    brief = tuple(rules.genres.values())
    if not brief:
        return []
    judgement = judge(_photo(), brief, vocabulary, known, five_stars=True)
    return [(judgement.verdict(0).stars, judgement.verdict(0).score)]


@cache
def _photo() -> Columns:
    """A photo of which nothing could be measured: every criterion must cope with that."""
    return columns_of([{}], (*quantities(BUILT_IN), *SET_QUANTITIES))


def fuzz_configurations(folder: Path, cases: int, seed: int) -> Figures:
    """Read `cases` mutated configurations, and files of folders by turns."""
    figures = Figures("configurations", seed)
    global_file, own_file = folder / "config.toml", folder / FILE_NAME
    for case in range(cases):
        chance = random.Random(f"{seed} {case}")
        with watched(figures, case):
            if case % 2:
                own_file.write_bytes(toml(FOLDER_FILE, chance))
                said = folder_file(folder, folder, ("corporate headshot", "team page"))
                fault = said.fault
            else:
                global_file.write_bytes(toml(CONFIGURATION, chance))
                try:
                    load_configuration(global_file)
                    fault = None
                except BadConfiguration as error:
                    fault = error
            if fault is not None and not (fault.cure and fault.file is not None):
                raise AssertionError(f"a fault that says too little: {fault!r}")
            if len(str(fault)) > LONGEST_MESSAGE:
                raise AssertionError(f"a fault that says too much: {len(str(fault))} characters")
            figures.outcomes["sound" if fault is None else "faults told"] += 1
        figures.resident_mib.append(resident_mib())
    return figures
