"""The lines a person reads before anything is shown, and the page that describes the file."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

import pytest

from sequences import schema
from sequences.errors import SequenceError
from sequences.estimate import plan
from sequences.expand import expand
from sequences.listing import rows, summary
from sequences.reader import load, parse
from sequences.schema import HOLD_GROUPS, READ_GROUPS, STEP_KINDS
from tests.sequences.expanding import GROUP_KEYS
from tests.sequences.panels import harbour_desk

PAGE = (Path(__file__).parents[2] / "docs" / "sequence-file.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```toml\n(.*?)```", PAGE, flags=re.DOTALL)


def test_every_step_has_one_numbered_line() -> None:
    steps = expand(load("checkpoint"), harbour_desk(), 1)
    listed = list(rows(steps))
    assert [number for number, _ in listed] == list(range(1, len(steps) + 1))
    assert not any("\n" in said for _, said in listed)


def test_lines_name_moves_patches_pairs_and_readings() -> None:
    text = "\n".join(said for _, said in rows(expand(load("checkpoint"), harbour_desk(), 1)))
    assert "--- move the probe to vessel-list, place 8 of 9 (128, 360 px), visit 9" in text
    assert "read ramp/centre/grey/Y50/w10  after 1 s, 5 to 40 times, until ±0.2 % or 0.003 cd/m², closed in on" in text
    assert "[vessel-list.1]" in text
    assert "warm up for 20 min, at most 60 min, on a moving grey at drive level" in text
    assert "ask: settings, compensation, rest, room, temperature, humidity, note" in text


def test_lines_name_photographs() -> None:
    text = "\n".join(said for _, said in rows(expand(load("by-eye"), harbour_desk(), 1)))
    assert "hold the title card until a key, photograph 01-title-card" in text
    assert "hold field/centre/grey/c1/full until a key, photograph 02-grey-c1-full" in text


def test_summary_has_patches_moves_minutes_and_dose() -> None:
    panel = harbour_desk()
    planned = plan(expand(load("spot"), panel, 1), panel)
    first, second, third = summary(planned)
    assert first.startswith(f"{planned.patches} patches, about {planned.readings} readings; placements of the probe: 1")
    assert f"about {planned.minutes:.1f} min of reading" in second
    assert f"as {planned.dose_h:.2f} h of 120 cd/m² white" in third


@pytest.mark.parametrize("number", range(len(BLOCKS)))
def test_every_example_of_the_page_is_read(number: int) -> None:
    block = BLOCKS[number]
    text = block if block.startswith("name") else f'name = "x"\ndescription = "d"\n{block}'
    sequence = parse(text)
    try:
        steps = expand(sequence, harbour_desk(), 1)
    except SequenceError as error:
        assert error.problems == ("x: nothing is left to show: it has no read, no hold and no shoot step",)
    else:
        assert list(rows(steps))


def test_the_page_shows_every_key_step_and_group() -> None:
    tables = (
        schema.Sequence,
        schema.ReadingDefaults,
        schema.Dark,
        schema.Reference,
        schema.Until,
        *STEP_KINDS.values(),
    )
    keys = {f.metadata.get("key", f.name) for table in tables for f in fields(table)} | set(GROUP_KEYS)
    missing = [key for key in sorted(keys) if not re.search(rf"`?\b{key}\b", PAGE)]
    assert missing == []
    for word in (*STEP_KINDS, *READ_GROUPS, *HOLD_GROUPS):
        assert re.search(rf"^###? .*\b{word}\b", PAGE, flags=re.MULTILINE), word
    assert len(BLOCKS) >= 15
