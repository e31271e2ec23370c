"""A walk over a page as a strict reader: every tag closed in its turn, every attribute and text noted."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "br", "hr", "img", "input", "link", "col", "wbr"}  # HTML, "void elements"


@dataclass(frozen=True, slots=True)
class Tag:
    name: str
    attributes: dict[str, str]
    inside: tuple[str, ...]  # the names of the tags around it, outermost first


@dataclass(slots=True)
class Page:
    tags: list[Tag] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)  # those that a reader meets: no style
    faults: list[str] = field(default_factory=list)

    def named(self, name: str) -> list[Tag]:
        return [tag for tag in self.tags if tag.name == name]

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.texts).split())


class _Walker(HTMLParser):
    def __init__(self, page: Page) -> None:
        super().__init__(convert_charrefs=True)
        self.page = page
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_startendtag(tag, attrs)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(names) != len(set(names)):
            self.page.faults.append(f"<{tag}> has an attribute twice")
        attributes = {name: value or "" for name, value in attrs}
        self.page.tags.append(Tag(tag, attributes, tuple(self.open)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.page.faults.append(f"</{tag}> closes nothing, line {self.getpos()[0]}")

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.page.texts.append(data)


def walk(html: str) -> Page:
    page = Page()
    walker = _Walker(page)
    walker.feed(html)
    walker.close()
    page.faults += [f"<{tag}> stays open" for tag in walker.open]
    return page
