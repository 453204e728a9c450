"""docs/words.md against what a person reads: help texts and columns; words that were given up appear nowhere."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from panelwear.readings.columns import columns_of
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.readings.row import Row

ROOT = Path(__file__).parents[1]
GIVEN_UP = re.compile(r"\b(sittings?|doubts?|doubted|nulls?|nulled|nulling)\b", re.IGNORECASE)
NAMED_AS_WORDS = {"session", "visit", "pair", "step", "patch", "purpose", "place", "pattern", "repeat", "flags"}
COMMANDS = ("", "inspect", "spot", "look", "resume", "close", "compare", "report", "show", "screens", "sequences",
            "probe", "new", "check", "rehearse", "amend", "discard", "zones", "status")  # fmt: skip


def glossary() -> set[str]:
    page = (ROOT / "docs" / "words.md").read_text(encoding="utf-8")
    return set(re.findall(r"^\| ([a-z ]+) \|", page, re.MULTILINE))


def test_what_a_column_is_named_after_is_explained() -> None:
    there = {column.name for record in (Row, Mark, MatchResult) for column in columns_of(record)}
    assert there >= NAMED_AS_WORDS | {"mark", "match", "zone", "field"}
    missing = {w for w in (*NAMED_AS_WORDS, "mark", "match", "zone", "field") if w.removesuffix("s") not in glossary()}
    assert missing == set()


@pytest.mark.parametrize("command", COMMANDS)
def test_no_help_text_uses_a_word_that_was_given_up(command: str) -> None:
    words = [sys.executable, "-m", "panelwear", *([command] if command else []), "--help"]
    said = subprocess.run(words, capture_output=True, text=True, check=True, cwd=ROOT).stdout
    assert "usage:" in said and not GIVEN_UP.search(said)


@pytest.mark.parametrize("folder", ["panelwear", "probe_io", "sequences", "patterns", "docs"])
def test_no_text_uses_a_word_that_was_given_up(folder: str) -> None:
    files = [p for p in (ROOT / folder).rglob("*") if p.suffix in {".py", ".md", ".toml", ".j2"}]
    assert files
    # Where old folders are read, and told of, their own words stand.
    former_names = {"record.py", "row.py", "marks.py", "matches.py", "checkpoint.py", "look.py"}
    known = former_names | {"panel-folder.md", "words.md", "csv.md", "by-eye.md"}
    for path in files:
        found = [line for line in path.read_text(encoding="utf-8").splitlines() if GIVEN_UP.search(line)]
        assert path.name in known or not found, (path, found)
