"""What was delivered, as one HTML file for the photographer: frame, line, size, what was done."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from eyeline.errors import printable
from eyeline.pages.sheet_html import environment, style
from eyeline.rendering.encode import BYTES_A_KILOBYTE
from eyeline.rendering.file_facts import small_jpeg
from eyeline.run.delivered import Delivered
from eyeline.run.delivery_plan import DeliveryPlan

PICTURE_PX = 120
"""Height of a picture beside its words: enough to see which it is and how it is cut."""


def delivery_report(
    title: str, sentence: str, done: Sequence[Delivered], plan: DeliveryPlan, now: datetime
) -> bytes:
    """The report as HTML in UTF-8; fonts and pictures are inside, nothing is fetched."""
    text = (
        environment()
        .get_template("sheets/delivery.html")
        .render(
            title=title,
            day=f"{now:%d %B %Y}",
            style=style(),
            unit_px=1,
            unit_mm=1,
            size="delivery",
            sentence=sentence,
            files=[_file(each) for each in done],
            not_made=[
                {
                    "frame": printable(each.path.name),
                    "line": each.line,
                    "size": f"{each.size[0]} × {each.size[1]}" if each.size is not None else "",
                    "reason": each.reason,
                }
                for each in plan.not_made
            ],
            told=plan.told,
        )
    )
    return text.encode("utf-8", "replace")


def _file(each: Delivered) -> dict[str, Any]:
    file = each.file
    picture = small_jpeg(each.target, PICTURE_PX) if each.target.exists() else None
    promised, measured = file.promise.eye_line, (each.measured or {}).get("eye_line")
    eye_line = "" if promised is None else f"{promised:.1%}"
    if measured is not None:
        eye_line += f", measured {measured:.1%}"
    return {
        "name": printable(str(file.name.with_name(each.target.name))),
        "frame": printable(file.photo.frame.path.name),
        "source": "" if file.source.kind == "original" else f"from {printable(file.source.path.name)}",
        "line": file.line.name,
        "size": f"{file.size[0]} × {file.size[1]}",
        "kilobytes": f"{each.size_bytes // BYTES_A_KILOBYTE} kB" if each.size_bytes else "",
        "crop": file.whose.value,
        "scale": f"{file.box.width} × {file.box.height} px, scaled {file.scale:.2f}",
        "eye_line": eye_line,
        "state": each.state,
        "notes": [*([each.problem] if each.problem else []), *each.broken, *each.said],
        "picture": b64encode(picture).decode("ascii") if picture is not None else "",
        "width": round(PICTURE_PX * file.size[0] / file.size[1]),
        "height": PICTURE_PX,
    }
