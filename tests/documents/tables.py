"""Tables, headings and links of our Markdown pages."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
Table = list[dict[str, str]]
"""Rows by the words of the header, back quotes taken away."""
_CELL = re.compile(r"(?<!\\)\|")
_LINK = re.compile(r"(?<!\\)!?\[[^\]]*\]\(([^)\s]+)\)")
_FENCE = re.compile(r"^```.*?^```$", re.MULTILINE | re.DOTALL)


def text_of(page: str) -> str:
    """Return a page, named from the root of the checkout."""
    return (ROOT / page).read_text(encoding="utf-8")


def tables_of(page: str) -> list[tuple[str, Table]]:
    """Return every table of a page in order, each with the heading it stands under."""
    found: list[tuple[str, Table]] = []
    head: list[str] = []
    heading = ""
    for line in text_of(page).splitlines():
        if line.startswith("#"):
            heading = line.lstrip("# ")
        if not line.startswith("|"):
            head = []
        elif not head:
            head = _cells(line)
            found.append((heading, []))
        elif not set(line) <= set("|-: "):
            found[-1][1].append(dict(zip(head, _cells(line), strict=True)))
    return found


def table(page: str, *head: str, under: str = "") -> Table:
    """Return the one table of a page whose header begins with these words, under a heading where one is given."""
    wanted = [
        rows
        for heading, rows in tables_of(page)
        if rows and tuple(rows[0])[: len(head)] == head and (not under or heading == under)
    ]
    assert len(wanted) == 1, f"{page}: {len(wanted)} tables begin with {head}"
    return wanted[0]


def _cells(line: str) -> list[str]:
    return [cell.strip().replace("`", "") for cell in _CELL.split(line.strip())[1:-1]]


def anchors_of(page: str) -> set[str]:
    """Return what can stand behind ``#`` in a link to a page: its headings in small letters, spaces as hyphens."""
    found: set[str] = set()
    for line in _FENCE.sub("", text_of(page)).splitlines():
        if heading := re.fullmatch(r"#+ (.*)", line):
            plain = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", heading[1]).replace("`", "").lower()
            anchor = re.sub(r"[^\w\- ]", "", plain).strip().replace(" ", "-")
            found.add(anchor if anchor not in found else f"{anchor}-1")
    return found


def links_of(page: str) -> list[str]:
    """Return where the links and pictures of a page point."""
    return _LINK.findall(_FENCE.sub("", text_of(page)))
