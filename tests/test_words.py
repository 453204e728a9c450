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
from tests.texts import strings_of, texts

ROOT = Path(__file__).parents[1]
GIVEN_UP = re.compile(r"\b(sittings?|doubts?|doubted|nulls?|nulled|nulling)\b", re.IGNORECASE)
NAMED_AS_WORDS = {"session", "visit", "pair", "step", "patch", "purpose", "place", "pattern", "repeat", "flags"}
COMMANDS = ("", "inspect", "spot", "look", "resume", "close", "compare", "report", "show", "screens", "sequences",
            "probe", "new", "check", "rehearse", "amend", "discard", "zones", "status", "archive",
            "export", "forecast")  # fmt: skip


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


# Phrases only the authors would use, and what stands in their place (docs/words.md has the terms).
BANNED = {
    r"told from (zero|nothing)": "significant, detected",
    r"kept in mind": "caveats",
    r"balance of red": "channel balance",
    r"\bits greys against": "grey contrast to reference",
    r"left half over": "left/right difference",
    r"dependence \S+ \S+ \S+ can be told": "no level dependence detected",
    r"really so": "true values",
    r"turn it first": "adjust first, then press Return",
    r"\bbr(ea|o)k(en|s|e|ing)? off": "stopped, interrupted",
    r"model itself is worth": "model uncertainty",
    r"\bof ours": "panelwear file",
    r"\bdigested": "checksummed",
    r"\bslates?\b": "title card",
    r"\banew\b": "again",
    r"\bthis evening": "this session",
    r"from memory, not looked": "the source itself",
    r"\bforetold": "predicted",
    r"\b(sittings?|doubts?|doubted|nulls?|nulled|nulling)\b": "session, uncertainty, match",
}
# Where old folders and sequences are read, and told of, their own words stand.
OLD_WORDS = {"record.py", "row.py", "marks.py", "matches.py", "checkpoint.py", "look.py", "reader.py", "tables.py",
             "panel-folder.md", "words.md", "csv.md", "by-eye.md"}  # fmt: skip


def test_no_text_uses_a_banned_word() -> None:
    banned = re.compile("|".join(BANNED), re.IGNORECASE)
    seen = list(texts())
    assert len(seen) > 5000
    found = {
        f"{path.name}: {line.strip()}"
        for path, text in seen
        if path.name not in OLD_WORDS
        for line in text.splitlines()
        if banned.search(line)
    }
    assert found == set()


@pytest.mark.parametrize(
    "phrase", ["a change told from zero", "put it on the slate", "you broke off", "its digested files"]
)
def test_a_banned_word_is_found_where_it_stands(phrase: str) -> None:
    source = f'def f(n):\n    """{phrase}"""\n    return f"{{n}} {phrase}"\n'
    assert list(strings_of(source)) == ["{} " + phrase]
    assert re.search("|".join(BANNED), phrase)


def test_the_glossary_has_the_words_people_search_for() -> None:
    page = (ROOT / "docs" / "words.md").read_text(encoding="utf-8").lower()
    searched = ("oled", "burn-in", "image retention", "image sticking", "mura", "panel refresh", "compensation cycle")
    assert [word for word in searched if word not in page] == []
