"""One photo by two paths, by the map that is given and never by a guess."""

from __future__ import annotations

from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.stations.paths import path_map

MAP = path_map(["/volumes/shoot=/mnt/nas/shoot", "/volumes/shoot/raw=/fast/raw"])


@pytest.mark.parametrize(
    ("there", "here"),
    [
        ("/volumes/shoot/a/1.jpg", "/mnt/nas/shoot/a/1.jpg"),
        ("/volumes/shoot/raw/1.dng", "/fast/raw/1.dng"),
        ("/volumes/shoot/rawer/1.dng", "/mnt/nas/shoot/rawer/1.dng"),
        ("/volumes/shooting/1.jpg", "/volumes/shooting/1.jpg"),
        ("/volumes/shoot", "/mnt/nas/shoot"),
    ],
)
def test_the_innermost_folder_counts_and_what_is_in_none_stays(there: str, here: str) -> None:
    assert MAP.here(Path(there)) == Path(here)


@pytest.mark.parametrize("words", [["/a"], ["a=/b"], ["/a="], ["=/b"], ["/a=/b", "/a=/c"]])
def test_what_is_no_map_is_refused(words: list[str]) -> None:
    with pytest.raises(BadConfiguration, match="--map"):
        path_map(words)
