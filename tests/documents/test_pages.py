"""The index names every page, every picture is shown, and no page repeats another."""

from __future__ import annotations

import re
from collections import defaultdict

from tests.documents.tables import ROOT, links_of, text_of
from tests.documents.test_links import INDEX, PAGES

LONG = 45
"""Characters from which on a sentence is no longer alike by chance."""


def test_the_index_names_every_page_once() -> None:
    named = [
        (ROOT / "docs" / link).resolve() for link in links_of(INDEX) if not link.startswith("#") and "://" not in link
    ]
    there = [p for p in (ROOT / "docs").rglob("*.md") if p != ROOT / INDEX and "decisions" not in p.parts]

    assert [p.name for p in there if named.count(p) != 1] == []


def test_every_picture_is_shown_somewhere() -> None:
    shown = {((ROOT / page).parent / link).resolve() for page in PAGES for link in links_of(page)}
    there = set((ROOT / "docs" / "pictures").rglob("*.png"))

    assert there and sorted(p.name for p in there - shown) == []


def sentences(text: str) -> set[str]:
    """Return the long sentences and table cells of a page, without its code and where its links point."""
    plain = re.sub(r"```.*?```", "", text, flags=re.DOTALL)
    plain = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", plain)
    pieces = re.split(r"\n\s*\n|\n(?=[-|#\d])", plain)
    found = (s for piece in pieces for s in re.split(r"(?<=[.:;])\s+|\|", " ".join(piece.split())))
    return {s for s in (one.strip(" |*-`").lower() for one in found) if len(s) >= LONG}


def repeated(pages: dict[str, str]) -> dict[str, set[str]]:
    """Return what stands on more than one page, with the pages."""
    where: defaultdict[str, set[str]] = defaultdict(set)
    for page, text in pages.items():
        for sentence in sentences(text):
            where[sentence].add(page)
    return {sentence: on for sentence, on in where.items() if len(on) > 1}


def test_no_page_repeats_another() -> None:
    pages = {page: text_of(page) for page in PAGES if page not in {"DEVELOPERS.md", "CHANGELOG.md"}}

    assert sum(len(sentences(text)) for text in pages.values()) > 500
    assert repeated(pages) == {}


def test_a_repeated_sentence_is_found() -> None:
    said = "A zone is a rectangle of the panel with its own history of light."

    assert list(repeated({"a": f"# Head\n\nOne. {said} More.", "b": f"- {said}\n- other", "c": "nothing"})) == [
        said.lower()
    ]
