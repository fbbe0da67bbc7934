"""An order that would put files among photos, or look for finals where nothing is, is refused."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from eyeline.delivery.specification import Specification
from eyeline.errors import BadConfiguration
from eyeline.run.delivery_order import Order
from eyeline.settings.configuration import Configuration, WatchedFolder


@pytest.fixture
def order(tmp_path: Path) -> Order:
    for name in ("shoots/monday", "clients", "card"):
        (tmp_path / name).mkdir(parents=True)
    return Order((tmp_path / "shoots/monday",), tmp_path / "clients" / "holm", Specification())


@pytest.mark.parametrize(
    "out", ["shoots/monday", "shoots/monday/out", "shoots/out", "card/out", "clients/link/out"]
)
def test_no_file_lands_where_it_would_be_judged_as_a_photo(out: str, order: Order, tmp_path: Path) -> None:
    """Be it the shoot's own folder, one that is watched at other times, or one that is watched now."""
    (tmp_path / "clients" / "link").symlink_to(tmp_path / "card")
    configuration = Configuration(folders=(WatchedFolder(tmp_path / "shoots", ()),))
    order.check(configuration, [tmp_path / "card"])
    with pytest.raises(BadConfiguration, match="the target"):
        replace(order, out=tmp_path / out).check(configuration, [tmp_path / "card"])


def test_a_folder_of_finals_that_is_none_is_said(order: Order, tmp_path: Path) -> None:
    with pytest.raises(BadConfiguration, match="this is no folder"):
        replace(order, finals=(tmp_path / "none",)).check(Configuration())
