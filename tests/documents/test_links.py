"""Every link of the documents leads to a file that is there, and to a heading that is in it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.documents.tables import ROOT, anchors_of, links_of

PAGES = [
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    *sorted(p.relative_to(ROOT).as_posix() for p in (ROOT / "docs").rglob("*.md")),
]
INDEX = "docs/README.md"


def faults(page: str) -> list[str]:
    found = []
    for link in links_of(page):
        if "://" in link:
            continue
        path, _, anchor = link.partition("#")
        target = ((ROOT / page).parent / path).resolve() if path else ROOT / page
        if not target.is_relative_to(ROOT) or not target.exists():
            found.append(f"{link}: no such file")
        elif anchor and (target.suffix != ".md" or anchor not in anchors_of(target.relative_to(ROOT).as_posix())):
            found.append(f"{link}: no such heading")
    return found


@pytest.mark.parametrize("page", PAGES)
def test_every_link_leads_somewhere(page: str) -> None:
    assert faults(page) == []


def test_the_pages_are_those_that_have_links() -> None:
    assert sum(len(links_of(page)) for page in PAGES) > 100
    assert {"what-is-not-as-it-was-written", "checkpointjson"} <= anchors_of("docs/panel-folder.md")


def test_a_link_that_leads_nowhere_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.documents.test_links.ROOT", tmp_path)
    monkeypatch.setattr("tests.documents.tables.ROOT", tmp_path)
    (tmp_path / "a.md").write_text(
        "# One `word`\n[b](a.md#one-word) [c](gone.md) ![d](#two) [e](https://example.org/x)\n"
    )

    assert faults("a.md") == ["gone.md: no such file", "#two: no such heading"]
