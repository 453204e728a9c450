"""The report's own tables beside what is really so of the simulated panel (invented numbers)."""

from __future__ import annotations

import math
import re
from functools import cache

import numpy as np
import pytest

from tests.panelwear.report import desk
from tests.panelwear.report.page_reader import Page

LAST = desk.HOURS[-1]


@cache
def page() -> Page:
    return Page(desk.page(*desk.HOURS))


def value_and_u(said: str) -> tuple[float, float]:
    """Read "−3.49 ± 0.46 %" back: value and half width of the 95 % interval."""
    found = re.fullmatch(r"([+\u2212]?[\d.]+) ± ([\d.]+)(?: .*)?", said)
    assert found, said
    return float(found[1].replace("\u2212", "-")), float(found[2])


def near(said: str, true: float) -> None:
    """Hold a printed estimate to the truth: within twice its 95 % half width, about four standard uncertainties."""
    value, half = value_and_u(said)
    assert half > 0
    assert value == pytest.approx(true, abs=2 * half)


@pytest.mark.parametrize("hue", ["red", "green", "blue"])
def test_what_each_channel_kept(hue: str) -> None:
    kept = desk.truth(LAST).retention["centre"]
    row = page().table("Sub-pixels").row(hue)
    near(row[1], 100 * kept[hue])
    others = [math.log(kept[h]) for h in kept if h != hue]
    relative = 100 * math.expm1(math.log(kept[hue]) - sum(others) / 2)
    near(row[2], relative)
    assert value_and_u(row[2])[1] < 0.8  # a ratio inside each session knows far more than the absolute one


@pytest.mark.parametrize("zone", ["vessel-list", "clock-badge", "quay-camera"])
def test_what_each_zone_did_against_the_chart(zone: str) -> None:
    true = desk.truth(LAST).zone_change[zone]
    rows = [r for r in page().table("Zones by channel and level").rows if r[0] == zone]
    assert len(rows) >= 6
    for row in rows:
        code = re.search(r"\(drive level (\d+)\)", row[2])
        assert code
        by_code = true[row[1]]
        if f"c{code[1]}" in by_code:
            near(row[5], 100 * by_code[f"c{code[1]}"])


def test_the_signs_of_the_zones_and_their_verdicts() -> None:
    changes = page().table("Since the baseline")
    for zone, sign in (("vessel-list", -1), ("clock-badge", 1)):
        row = next(r for r in changes.rows if r[0].startswith(zone))
        assert row[2].startswith("changed")
        assert math.copysign(1, value_and_u(row[1])[0]) == sign


def test_the_white_point_and_its_way() -> None:
    first, last = desk.truth(0.0), desk.truth(LAST)
    plane = page().table("White point in the u'v' plane")
    now = plane.rows[-1]
    for i in (0, 1):
        near(now[1 + i], last.white_uv_prime[i])
        near(now[3 + i], last.white_uv_prime[i] - first.white_uv_prime[i])
    near(now[5], last.white_cct_K)
    near(now[6], last.white_duv)


def test_the_loading_curve_against_its_largest_window() -> None:
    then, now = (desk.truth(h).peak_cd_m2 for h in (0.0, LAST))
    rows = page().table("White windows against the largest").rows
    assert [r[1] for r in rows if r[0] == "100"] == ["0 (reference)"]
    for share, name in (("8", "w8"), ("64", "w64")):
        row = next(r for r in rows if round(float(r[0])) == int(share))
        near(row[1], 100 * (now[name] / now["w100"] / (then[name] / then["w100"]) - 1))


def test_the_additivity_and_the_luminance_that_was_lost() -> None:
    changes = page().table("Since the baseline")
    near(next(r for r in changes.rows if r[0].startswith("additivity"))[4], desk.truth(LAST).additivity)
    white = next(r for r in changes.rows if r[0].startswith("white luminance"))
    before, after = (desk.truth(h).white_XYZ[1] for h in (0.0, LAST))
    near(white[3], before)
    near(white[4], after)
    near(white[1], 100 * (after / before - 1))


def test_the_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    last = desk.truth(LAST)
    pairs: list[tuple[str, float]] = []
    for row in page().table("Zones by channel and level").rows:
        code = f"c{row[2].rpartition(' ')[2].rstrip(')')}"
        if code in last.zone_change[row[0]][row[1]]:
            pairs.append((row[5], 100 * last.zone_change[row[0]][row[1]][code]))
    kept, true = page().table("Sub-pixels"), last.retention["centre"]
    pairs += [(kept.row(hue)[1], 100 * true[hue]) for hue in ("red", "green", "blue")]
    for plane, hours in zip(page().table("White point in the u'v' plane").rows, desk.HOURS, strict=True):
        pairs += [(plane[1 + i], desk.truth(hours).white_uv_prime[i]) for i in (0, 1)]
    held = [abs(value_and_u(said)[0] - so) <= value_and_u(said)[1] for said, so in pairs]
    assert len(held) >= 20
    # At 95 % one of 24 falls out on average; many share one placement, so they fall out together.
    assert np.mean(held) >= 0.8
