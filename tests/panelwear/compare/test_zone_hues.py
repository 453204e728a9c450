"""Zones whose colour wears while their greys stay."""

from dataclasses import replace

import numpy as np
import pytest

from panelwear.colorimetry.basic import uv_prime_of, xy_of
from panelwear.compare.change_table import change_table
from panelwear.compare.comparing import comparison_of
from panelwear.compare.sentences import verdict_of
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.compare.panels import FACTS, HUES, SAME, light_of, pairing_of, read_centre, subject
from tests.panelwear.figures.handmade import Bench
from tests.panelwear.telling.unbroken import lines

METER = MeterTerms(session_scale=0.005, session_xy=0.00025, placement=0.001, dark_noise_cd_m2=0.0)
CODES = (128, 192)


def read(kept=(1.0, 1.0, 1.0), seed=1, noise=0.0005, grey=1.0, zones=("list",)):
    """Read zones in grey, red, green and blue; their channels kept these shares, their greys ``grey`` besides."""
    bench = Bench(seed, noise=noise)
    read_centre(bench)
    fresh, worn = light_of(), light_of(kept)
    # The greys' luminance is brought back to what it was, so that only their colour tells.
    balance = grey * fresh[3][1] / worn[3][1]
    for zone in zones:
        for position, place in enumerate((zone, "chart", "chart", zone), start=1):
            bench.put()
            for hue, now, was in zip((*HUES, "grey"), worn, fresh, strict=True):
                for code in CODES:
                    XYZ = (now * (balance if hue == "grey" else 1.0) if place == zone else was) * (code / 255) ** 2.2
                    patch = f"zone/{place}/{hue}/c{code}/full"
                    bench.read(patch, "zone", XYZ[1], tuple(xy_of(XYZ)), pair=f"{zone}.{position}")
    return bench.table()


def compared(then, now):
    pair = comparison_of([subject(then, "a", 0.0, METER), subject(now, "b", 1000.0, METER)], facts=FACTS)
    return pair, pair.pairs[0], {row.name: row for row in pair.pairs[0].rows}


def test_a_hue_that_wears_while_the_greys_stay_is_told_as_a_change():
    found, pair, rows = compared(read(), read((1, 1, 0.97), seed=2))
    assert rows["zone/list"].judged.verdict == "no change larger than"
    assert rows["zone-hue/list/blue"].judged.verdict == "changed"
    assert rows["zone-hue/list/blue"].under == "zone/list"
    assert rows["zone-hue/list/blue"].change.step.value == pytest.approx(-3.0, abs=0.3)
    assert {"zone-hue/list/red", "zone-hue/list/green"}.isdisjoint(rows)
    (zone,) = pair.zones
    first = zone.sentences[0]
    assert first.startswith("list: its blue turned darker than its reference by 3.0")
    assert "that channel aged more (burn-in); grey contrast to reference: no change larger than" in first
    assert "blue of list (on the left) became 3.0" in found.sentences[0]
    assert "list: blue contrast to reference −3.0" in found.sentences[3]
    assert {(c.hue, c.judged.verdict) for c in zone.colours if c.judged.verdict == "changed"} == {("blue", "changed")}
    assert "list: blue contrast to reference" in "\n".join(lines(found))


def test_a_zone_without_any_change_says_so_of_greys_and_hues():
    found, pair, rows = compared(read(), read(seed=2))
    said = pair.zones[0].sentences[0]
    assert said.startswith("list: grey contrast to reference: no change larger than")
    assert said.endswith("nor does red, green or blue stand out beyond the uncertainty")
    assert rows["zone/list"].change.caption == "list: grey contrast to reference"
    assert not any(name.startswith("zone-hue/") for name in rows)
    assert "no zone changed against its reference beyond the uncertainty" in found.sentences[0]


def test_where_the_greys_changed_the_zone_has_one_line():
    _, pair, rows = compared(read(), read((0.97, 0.97, 0.97), seed=2, grey=0.97))
    assert rows["zone/list"].judged.verdict == "changed"
    assert not any(name.startswith("zone-hue/") for name in rows)
    assert "list turned darker than its reference by 3.0" in pair.zones[0].sentences[0]
    assert all(c.judged.verdict == "changed" for c in pair.zones[0].colours)


def test_the_tint_of_a_zone_stands_in_the_change_table():
    _, pair, rows = compared(read(), read((1, 1, 0.97), seed=2))
    fresh, worn = light_of()[3], light_of((1, 1, 0.97))[3]
    true = np.linalg.norm(uv_prime_of(worn[None]) - uv_prime_of(fresh[None]))
    tint = rows["zone-tint/list"]
    assert tint.under == "zone/list"
    assert tint.change.step.value == pytest.approx(true, abs=3e-4)
    assert tint.judged.verdict == "changed"
    assert pair.zones[0].tint is tint
    assert compared(read(), read(seed=2))[2]["zone-tint/list"].judged.verdict != "changed"


def test_tints_are_among_all_figures():
    found = comparison_of([subject(read(seed=i), str(i), float(i), METER) for i in (1, 2)], every_figure=True)
    names = {c.name for c in found.pairs[0].figures}
    assert {"zone/list/grey/c128.du_prime", "zone/list/grey/c128.dv_prime"} <= names
    assert "zone/list/grey/c128.contrast" not in names


@pytest.mark.slow
def test_unchanged_zones_cry_wolf_no_oftener_than_promised_though_four_colours_are_tested():
    zones = ("list", "badge")
    quiet = MeterTerms(session_scale=0.0, session_xy=0.0, placement=0.0, dark_noise_cd_m2=0.0)
    false = 0
    for seed in range(100, 180, 2):
        pairing = pairing_of(read(seed=seed, noise=0.002, zones=zones), read(seed=seed + 1, noise=0.002, zones=zones),
                             quiet)  # fmt: skip
        rows = change_table(pairing, SAME)
        false += any(r.judged.verdict == "changed" and r.name.startswith("zone") for r in rows)
    # At most 5 % are promised for the whole table; 6 or more of 40 would come by chance in 1.4 % (binomial).
    assert false < 6


def test_nothing_is_said_of_wear_where_zones_were_not_judged():
    names = [f"zone{i}" for i in range(12)]
    found, pair, _ = compared(read(zones=names), read(seed=2, zones=names))
    withheld = [
        replace(row, judged=replace(row.judged, verdict="undecided", why="another brightness")) for row in pair.rows
    ]
    said = verdict_of([replace(pair, rows=tuple(withheld))])[0]
    assert "no zone can be judged: another brightness." in said
    assert "changed against" not in said
    assert "no zone changed against its reference beyond the uncertainty" in found.sentences[0]
