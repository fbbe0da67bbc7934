"""A page as a browser's parser would see it, by Python's own HTML parser."""

from __future__ import annotations

from base64 import b64decode
from dataclasses import dataclass
from html.parser import HTMLParser

VOID = frozenset({"meta", "br", "img", "path", "link", "input"})


@dataclass
class Element:
    name: str
    attributes: dict[str, str]
    text: str = ""


class Page(HTMLParser):
    """Elements in their order, all text outside of <style>, what is left open."""

    def __init__(self, content: bytes) -> None:
        super().__init__()
        self.elements: list[Element] = []
        self.text = ""
        self.style = ""
        self.wrong: list[str] = []
        self._open: list[Element] = []
        self.feed(content.decode("utf-8"))
        self.wrong += [f"<{each.name}> is not closed" for each in self._open]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.elements.append(element)
        if tag not in VOID:
            self._open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(Element(tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if not self._open or self._open[-1].name != tag:
            self.wrong.append(f"</{tag}> closes nothing")
        else:
            self._open.pop()

    def handle_data(self, data: str) -> None:
        for each in self._open:
            each.text += data
        if any(each.name == "style" for each in self._open):
            self.style += data
        else:
            self.text += data

    def all(self, name: str) -> list[Element]:
        return [each for each in self.elements if each.name == name]

    def pictures(self) -> list[bytes]:
        return [b64decode(each.attributes["src"].split(",", 1)[1]) for each in self.all("img")]
