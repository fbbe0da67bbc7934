"""A photo that can be annotated, and the shared reference files."""

import os
from pathlib import Path

import pytest
from PIL import Image


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "IMG_1.jpg"
    Image.new("RGB", (60, 40), "grey").save(path)
    return path


@pytest.fixture
def shared() -> Path:
    """The project's shared reference files, which a user's clone has not."""
    place = os.environ.get("EYELINE_SHARED")
    path = Path(place) if place else Path(__file__).resolve().parents[3] / "shared"
    if not (path / "standards").is_dir():
        pytest.skip("left out: the shared reference files are not here (EYELINE_SHARED names their folder)")
    return path
