"""Where what ships with eyeline lies: rules and the bundled shoot."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from eyeline.errors import BadConfiguration


def shipped_folder(name: str) -> Path:
    """The folder `name` ("rules", "shoot") inside the installed package, else in the checkout.

    A wheel carries both folders inside the package; an editable install finds them beside `daemon/`.

    Raises
    ------
    BadConfiguration
        When neither place has it: the installation is incomplete.
    """
    inside = Path(str(files("eyeline"))) / name
    beside = Path(__file__).resolve().parents[3] / name
    for folder in (inside, beside):
        if folder.is_dir():
            return folder
    raise BadConfiguration(
        f"the folder '{name}' that ships with eyeline is neither at {inside} nor at {beside}",
        cure="Install eyeline again",
    )
