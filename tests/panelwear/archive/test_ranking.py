"""Panels beside each other: who stands first, and what is counted of a group."""

from __future__ import annotations

import pytest

from panelwear.archive.ranking import groups_table, ranked, ranking_table, summary_of
from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison import Comparison
from panelwear.compare.sentences import changed_of
from tests.panelwear.compare.panels import FACTS, read, ready, subject


def panel(name: str, verdict: str, times: float | None = None, white: float | None = None, **words: str) -> dict:
    kinds = {"model": "", "usage": "", "brightness": ""} | words
    numbers = {"largest_times_worth": times, "white_change": white, "white_half_width": 0.5}
    return {"panel": name, "name": name, "verdict": verdict, **kinds, **numbers}


def test_what_changed_most_stands_first_and_what_has_no_verdict_last() -> None:
    given = [panel("e", "none"), panel("d", "no change larger than", 0.2), panel("a", "changed", 2.0),
             panel("c", "undecided", 9.0), panel("b", "changed", 5.0), panel("f", "changed", 5.0)]  # fmt: skip
    assert [one["panel"] for one in ranked(given)] == ["b", "f", "a", "c", "d", "e"]
    assert [row[:2] for row in ranking_table(ranked(given), 0.95).rows][:2] == [(1, "b"), (2, "f")]


def test_groups_count_verdicts_and_tell_the_middle_and_the_ends() -> None:
    given = [panel("a", "changed", 2.0, -3.04, usage="text"), panel("b", "undecided", 1.0, -1.0, usage="text"),
             panel("c", "none", usage="text"), panel("d", "no change larger than", 0.1, 0.2)]  # fmt: skip
    table = groups_table(given)
    names = [column.name for column in table.columns]
    rows = {(row[0], row[1]): dict(zip(names, row, strict=True)) for row in table.rows}
    assert {*rows} == {("usage", ""), ("usage", "text")}  # nobody states a model or a brightness
    text = rows["usage", "text"]
    assert [text[n] for n in ("panels", "changed", "undecided", "no_change", "without")] == [3, 1, 1, 0, 1]
    assert [text[f"white_{n}_percent"] for n in ("median", "least", "most", "half_width")] == [-2.02, -3.04, -1.0, 0.5]
    assert text["median_times_worth"] == 1.5


def test_a_panel_that_changed_and_one_that_did_not() -> None:
    worn = compared((0.9, 0.9, 0.8), {"list": -0.05})
    same = compared((1, 1, 1), {"list": 0.0})
    told, still = summary_of(worn), summary_of(same)
    assert told["verdict"] == "changed"
    assert told["changed"] == len(changed_of(worn.pairs[0].rows)) > 2
    assert told["changed_since_last"] is None  # there are two checkpoints
    assert told["white_change"] == pytest.approx(100 * (light(0.9, 0.9, 0.8) - 1), abs=0.2)
    assert still["verdict"] != "changed" and still["changed"] == 0
    assert [one["panel"] for one in ranked([{**still, "panel": "a"}, {**told, "panel": "b"}])] == ["b", "a"]


def compared(kept: tuple[float, float, float], zones: dict[str, float]) -> Comparison:
    """Compare a panel as new with what it is after 1000 h."""
    before = subject(read(zones={"list": 0.0}, seed=1), "0", 0.0)
    after = subject(read(kept, zones, seed=2), "1000", 1000.0)
    return comparison_of(ready(before, after), facts=FACTS)


def light(*kept: float) -> float:
    """Return what is left of white: BT.709's shares of luminance (ITU-R BT.709-6, item 3.2)."""
    return sum(share * left for share, left in zip((0.2126, 0.7152, 0.0722), kept, strict=True))
