"""A commented `eyeline.toml` for a folder that has none: sound as it is, to be changed by a person."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from shlex import quote

from eyeline.errors import BadConfiguration, printable
from eyeline.judging.rulebook import Rulebook
from eyeline.settings.folder_file import FILE_NAME
from eyeline.settings.rules import DEFAULT_BRIEF
from eyeline.system.whole_file import made_whole

_START = """\
# What is wanted of the photos in this folder and below it. Lines that begin with # say nothing to eyeline.
# What there is to say: docs/brief.md. Check it: eyeline brief check eyeline.toml
# Then: eyeline brief FOLDER tells what is there, what is missing, and what the nearest frame lacks.

# Several sitters, and lines that count for each of them (per = "sitter"): what parts one from the next, and a
# list in the order of the chairs, number,name a line. Who sits can also be said: eyeline sitter next
# sitters = "slates"                # or "pauses", "folders", "said"
# sitter_list = "sitters.csv"

# A name for the sitting, where all photos here show one sitter:
# sitting = "Example Ltd, morning"

# One [[brief]] for each kind of picture. As it stands, this is the usual brief: one frame of each.
"""

_MORE = """
# More that one may say of a line:
#
# [[brief]]
# genre = "team page"
# wanted = 2                        # different frames; frames of one burst count as one
# sizes = ["1600x2000", "800x800"]  # pixels of the finished pictures; each frame must yield all of them
# called = "portrait for the intranet"
# per = "sitter"                    # so many of each sitter, not of the whole job
"""


def new_brief(genres: Mapping[str, Rulebook]) -> str:
    """The text of a commented brief that asks for the usual frames, and names all `genres` there are."""
    usual = "".join(
        f'\n[[brief]]\ngenre = "{name}"\nwanted = 1\n' for name in DEFAULT_BRIEF if name in genres
    )
    known = "".join(f"#   {name:24} {genre.why}\n" for name, genre in sorted(genres.items()))
    return f"{_START}{usual}{_MORE}\n# Genres to choose from:\n{known}"


def write_new_brief(folder: Path, genres: Mapping[str, Rulebook]) -> Path:
    """Write it into `folder` and return its path. Raises BadConfiguration where one is there already."""
    path = folder / FILE_NAME
    if not folder.is_dir():
        raise BadConfiguration("there is no such folder", folder, "Name a folder of photos")
    try:
        with made_whole(path) as unnamed:
            unnamed.write_text(new_brief(genres), "utf-8")
    except FileExistsError as error:
        cure = f"Change that one, then: eyeline brief check {quote(printable(path))}"
        raise BadConfiguration("this folder has a brief already", path, cure) from error
    except OSError as error:
        raise BadConfiguration(
            f"it cannot be written: {error.strerror}", path, "Make the folder writable"
        ) from error
    return path
