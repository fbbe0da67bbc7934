"""The record of what eyeline wrote into a sidecar: kept in the ledger and in the sidecar's own history."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace

from eyeline.terms.rectangle import Rectangle

_MARK = " | wrote "
"""Parts the readable parameters of our history event from the record that follows."""


@dataclass(frozen=True, slots=True)
class WrittenRegion:
    """A region as we wrote it: stored fractions, and `fields.StoredRegion.content`."""

    id: str
    area: Rectangle
    content: str


@dataclass(frozen=True, slots=True)
class Written:
    """What eyeline has written into one sidecar and what it leaves to the photographer.

    `created`: the file is ours from the start. `rating`, `keywords`, `scenes`, `regions`: in the file and
    ours. `rating_before`, `metadata_date_before`: what stood there before us, restored by withdraw. The
    `left_…` fields: what a person decided; `left_rating` True, words and region ids. `digest`: BLAKE2b hex
    of the file as we left it (not part of the record inside the file).
    """

    created: bool = False
    rating: str | None = None
    rating_before: str | None = None
    keywords: tuple[str, ...] = ()
    scenes: tuple[str, ...] = ()
    regions: tuple[WrittenRegion, ...] = ()
    metadata_date: str | None = None
    metadata_date_before: str | None = None
    parameters: str = ""
    left_rating: bool = False
    left_keywords: tuple[str, ...] = ()
    left_scenes: tuple[str, ...] = ()
    left_regions: tuple[str, ...] = ()
    digest: str = ""

    def to_json(self) -> str:
        """For the ledger; empty fields are left out."""
        plain = {key: value for key, value in asdict(self).items() if value not in (None, False, "", ())}
        if self.regions:
            plain["regions"] = {
                mark.id: [mark.area.left, mark.area.top, mark.area.width, mark.area.height, mark.content]
                for mark in self.regions
            }
        return json.dumps(plain, separators=(",", ":"), ensure_ascii=False)

    @staticmethod
    def from_json(text: str) -> Written:
        """Inverse of `to_json`. Raises ValueError for anything else."""
        try:
            plain = json.loads(text)
            regions = tuple(
                WrittenRegion(region_id, Rectangle(*map(float, place)), str(content))
                for region_id, (*place, content) in plain.pop("regions", {}).items()
            )
            plain = {key: tuple(value) if isinstance(value, list) else value for key, value in plain.items()}
            written = Written(regions=regions, **plain)
        except (KeyError, TypeError, AttributeError, RecursionError) as error:
            raise ValueError(f"no record of what eyeline wrote: {error}") from error
        texts = (written.rating, written.rating_before, written.metadata_date, written.metadata_date_before)
        words = (*written.keywords, *written.scenes, *written.left_keywords, *written.left_scenes)
        sound = all(isinstance(text, str) for text in (*words, *written.left_regions, written.parameters))
        if not sound or not all(text is None or isinstance(text, str) for text in texts):
            raise ValueError("no record of what eyeline wrote: a text is no text")
        return written


def event_parameters(readable: str, written: Written) -> str:
    """The parameters of our history event: `readable`, then the record that survives a lost ledger."""
    return readable + _MARK + replace(written, digest="", parameters="").to_json()


def recorded(events: Iterable[str]) -> Written | None:
    """The record in the parameters of our history events; None when there is none to be read."""
    for parameters in events:
        readable, mark, text = parameters.partition(_MARK)
        if mark:
            try:
                return replace(Written.from_json(text), parameters=readable)
            except ValueError:
                continue
    return None
