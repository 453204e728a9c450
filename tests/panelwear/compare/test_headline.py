"""Four numbers and three sentences, against panels whose change is known because it was put in."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison import Comparison
from panelwear.compare.headline import KeyNumber, key_numbers
from panelwear.compare.plain_sentences import place_of, plain_sentences
from patterns.frame import Rect
from sequences.model import PanelFacts, Zone
from tests.panelwear.compare.panels import FACTS, read, subject

WORN = {"list": -0.04, "badge": 0.02}
NEW = {"list": 0.0, "badge": 0.0}


def compared(
    *steps: tuple[tuple[float, float, float], dict[str, float]], facts: PanelFacts = FACTS, **more
) -> Comparison:
    """Compare checkpoints 1000 h apart, each with what its channels kept and its zones' contrasts."""
    read_at = [
        subject(read(kept, zones, seed=i + 1, noise=0.0005), f"c{i}", 1000.0 * i, **more)
        for i, (kept, zones) in enumerate(steps)
    ]
    return comparison_of(read_at, facts=facts)


@pytest.fixture(scope="module")
def worn() -> Comparison:
    return compared(((1, 1, 1), NEW), ((0.99, 0.99, 0.97), {"list": -0.02, "badge": 0.01}), ((0.97, 0.97, 0.93), WORN))


def number(found: Comparison, key: str) -> KeyNumber:
    return next(one for one in key_numbers(found.pairs) if one.key == key)


def value(said: str) -> tuple[float, float]:
    found = re.match(r"([+\u2212]?[\d.]+) ± ([\d.]+)", said)
    assert found, said
    return float(found[1].replace("\u2212", "-")), float(found[2])


@pytest.mark.parametrize(
    ("key", "title", "true", "lately"),
    [
        # The white of BT.709 at D65 is 21.26 % red, 71.52 % green and 7.22 % blue (ITU-R BT.709-6, item 3.2).
        ("white", "White luminance", 100 * (0.97 - 0.0722 * 0.04 - 1), 100 * (0.96711 / 0.98856 - 1)),
        ("zone", "Worst zone: list", -4.0, 100 * (0.96 / 0.98 - 1)),
        ("channel", "Most worn channel: blue", 100 * (0.93 / 0.97 - 1), 100 * (0.93 / 0.97 / (0.97 / 0.99) - 1)),
    ],
)
def test_the_numbers_are_what_was_put_in(worn: Comparison, key: str, title: str, true: float, lately: float) -> None:
    found = number(worn, key)
    assert found.title == title
    assert found.step is not None
    assert found.last is not None
    for step, so in ((found.step, true), (found.last, lately)):
        said, half = value(step.value)
        assert said == pytest.approx(so, abs=2 * half)
    assert found.step.weight == "matters"


def test_the_sentences_name_zone_white_and_channel(worn: Comparison) -> None:
    zone, white, channel = plain_sentences(worn.pairs, FACTS)
    assert re.match(
        r"Since the baseline \(0 h to 2000 h of use\) list \(on the left\) became [\d.]+ ± [\d.]+ % darker relative "
        r"to its reference 'chart' \(burn-in\); it is now [\d.]+ ± [\d.]+ % darker, and on a flat grey "
        r"in a dark room, from 60 cm, that is ",
        zone,
    )
    assert re.match(r"White gives [\d.]+ ± [\d.]+ % less light than before", white)
    assert "warmer (CCT \u2212" in white  # less blue is a lower colour temperature
    assert channel.startswith("Blue wears most: it lost ")
    assert "more of its light than red and green; since last time (1000 h) it fell behind them by " in channel
    assert channel.endswith(" % more.")


def test_a_channel_that_recovered_since_last_time_is_said_to_have() -> None:
    found = compared(((1, 1, 1), NEW), ((0.97, 0.97, 0.90), NEW), ((0.97, 0.97, 0.93), NEW))
    said = plain_sentences(found.pairs, FACTS)[2]
    assert "wears most" in said
    assert "; since last time (1000 h) it came nearer to them by " in said


def test_what_is_seen_is_the_visibility_verdict_and_nothing_else(worn: Comparison) -> None:
    seen = next(z for z in worn.pairs[0].zones if z.zone == "list").seen
    assert seen is not None
    for low, word in ((0.1, "invisible"), (1.0, "borderline"), (2.0, "visible"), (9.0, "obvious")):
        pair = worn.pairs[0]
        zones = tuple(replace(z, seen=replace(seen, low=low, high=low)) for z in pair.zones)
        said = plain_sentences((replace(pair, zones=zones),), FACTS)[0]
        assert f"from 60 cm, that is {word}. " in said
        assert said.endswith(f"brighter, that is {word}.")
    both = tuple(replace(z, seen=replace(seen, low=1.0, high=2.0)) for z in worn.pairs[0].zones)
    assert plain_sentences((replace(worn.pairs[0], zones=both),))[0].endswith("that is borderline to visible.")
    none = tuple(replace(z, seen=None) for z in worn.pairs[0].zones)
    assert "see" not in plain_sentences((replace(worn.pairs[0], zones=none),))[0]


def test_a_panel_that_did_not_change_is_not_said_to_have() -> None:
    found = compared(((1, 1, 1), NEW), ((1, 1, 1), NEW))
    zone, white, channel = plain_sentences(found.pairs, FACTS)
    assert "no zone changed against its reference beyond the uncertainty; the largest step, of " in zone
    assert white.startswith("White gives the same light as before within ")
    assert channel.startswith("Red, green and blue aged alike: none moved against the others by more than ")
    assert number(found, "channel").title == "Channels against each other"
    assert {one.step.weight for one in key_numbers(found.pairs) if one.step} == {"steady"}
    assert all(one.last is None for one in key_numbers(found.pairs))


def test_what_was_not_read_is_said_to_be_not_known() -> None:
    found = compared(((1, 1, 1), {}), ((0.97, 0.97, 0.93), {}))
    assert number(found, "zone").step is None
    assert "no zone was read at both checkpoints, so nothing is known" in plain_sentences(found.pairs, FACTS)[0]


def test_a_setting_that_was_changed_gives_no_wear() -> None:
    before = subject(read((1, 1, 1), NEW, noise=0.0005), "a", 0.0, answers={"brightness": "80"})
    after = subject(read((0.9, 0.9, 0.8), NEW, seed=2, noise=0.0005), "b", 100.0, answers={"brightness": "60"})
    found = comparison_of([before, after], facts=FACTS)
    _, white, channel = plain_sentences(found.pairs, FACTS)
    assert white.startswith("Whether white lost light cannot be said: ")
    assert channel.startswith("Which of red, green and blue wears most cannot be said: ")
    assert "wears most:" not in channel
    assert {number(found, key).step.weight for key in ("white", "white-point", "channel")} == {"open"}  # type: ignore[union-attr]


def test_channels_that_may_still_be_warming_are_not_named_as_worn(worn: Comparison) -> None:
    pair = replace(worn.pairs[0], suspicions=("At c2 the panel may not have been warm.",))
    assert "may be no wear: see the caveats" in plain_sentences((pair,))[2]
    assert key_numbers((pair,))[3].title == "Channels against each other"


@pytest.mark.parametrize(
    ("rect", "where"),
    [
        (Rect(0, 0, 200, 500), "on the left"), (Rect(0, 0, 1000, 40), "at the top"),
        (Rect(900, 20, 90, 40), "at the top right"),
        (Rect(10, 460, 90, 40), "at the bottom left"), (Rect(400, 200, 200, 100), "in the middle"),
        (Rect(0, 0, 1000, 500), ""), (Rect(0, 230, 1000, 40), "in the middle"),
    ],
)  # fmt: skip
def test_places_are_told_as_seen_from_the_front(rect: Rect, where: str) -> None:
    facts = replace(FACTS, zones=(Zone("z", rect, rect.centre, ""),))
    assert place_of("z", facts) == where
    assert place_of("other", facts) == ""


def test_nothing_to_compare_gives_nothing() -> None:
    assert key_numbers(()) == ()
    assert plain_sentences(()) == ()
