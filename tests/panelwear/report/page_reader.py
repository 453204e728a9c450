"""Reads a report's HTML strictly: tags must nest, and everything a test asks about is collected."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "link", "img", "source", "br", "hr", "input"}


@dataclass(slots=True)
class SeenTable:
    """One table with its caption, heads and rows of cell texts."""

    caption: str = ""
    heads: list[str] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)

    def row(self, first: str) -> list[str]:
        """Return the row whose first cell is this."""
        return next(r for r in self.rows if r[0] == first)


class Page(HTMLParser):
    """A parsed page."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.faults: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.tables: list[SeenTable] = []
        self.texts: list[str] = []
        self._cell: list[str] | None = None
        self.feed(html)
        self.close()
        self.faults += [f"<{tag}> is never closed" for tag in self.open]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {k: v or "" for k, v in attrs}))
        if len({k for k, _ in attrs}) < len(attrs):
            self.faults.append(f"<{tag}> has an attribute twice")
        if tag not in VOID:
            self.open.append(tag)
        if tag == "table":
            self.tables.append(SeenTable())
        if tag == "tr":
            self.tables[-1].rows.append([])
        if tag in {"td", "th", "caption"}:
            self._cell = []

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1] != tag:
            self.faults.append(f"</{tag}> closes {self.open[-1:]}")
            return
        self.open.pop()
        if tag in {"td", "th", "caption"} and self._cell is not None:
            said = " ".join("".join(self._cell).split())
            self._cell = None
            if tag == "caption":
                self.tables[-1].caption = said
            else:
                self.tables[-1].rows[-1].append(said)
        if tag == "thead":
            self.tables[-1].heads = self.tables[-1].rows.pop()

    def handle_data(self, data: str) -> None:
        self.texts.append(data)
        if self._cell is not None:
            self._cell.append(data)

    def of(self, tag: str) -> list[dict[str, str]]:
        """Return the attributes of every such tag."""
        return [attributes for name, attributes in self.tags if name == tag]

    def table(self, caption: str) -> SeenTable:
        """Return the first table whose caption begins so."""
        return next(t for t in self.tables if t.caption.startswith(caption))

    @property
    def text(self) -> str:
        """All words of the page."""
        return " ".join(" ".join(self.texts).split())
