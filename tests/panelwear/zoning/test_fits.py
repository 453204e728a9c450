"""Whether the probe fits, in millimetres and in words."""

from __future__ import annotations

import math

import pytest

from panelwear.zoning.fits import Fit, Probe, fit_of
from panelwear.zoning.plan import Drawn, Plan
from panelwear.zoning.table import table_of
from patterns.frame import Rect
from tests.panelwear.telling.unbroken import unbroken
from tests.panelwear.zoning.hand import BADGE, CHART

PROBE = Probe(10.0, (0.5, 0.5))


def judged(rect: Rect, at: tuple[float, float] | None = None, *over: Rect, probe: Probe = PROBE) -> Fit:
    zone = Drawn(0, "bar", rect, at)
    return fit_of(zone, Plan((zone, *(Drawn(n, f"over-{n}", r) for n, r in enumerate(over, 1)))), probe)


def test_a_wide_zone_fits() -> None:
    fit = judged(Rect(0, 0, 100, 100))
    assert (fit.word, fit.is_good) == ("fits", True)


def test_below_one_and_a_half_apertures_it_is_tight() -> None:
    assert judged(Rect(0, 0, 30, 100)).word == "fits"
    fit = judged(Rect(0, 0, 29, 100))
    assert fit.word == "tight"
    assert "14.5 mm wide" in fit.sentence and "at least 30 px wide" in fit.sentence


def test_below_the_aperture_it_is_too_narrow_and_says_how_much_it_fills() -> None:
    fit = judged(Rect(0, 0, 100, 10))
    assert fit.word == "too narrow"
    # A centred strip of half the diameter: (2/pi)(asin k + k sqrt(1 - k^2)) with k = 0.5, elementary geometry.
    share = 2 / math.pi * (math.asin(0.5) + 0.5 * math.sqrt(0.75))
    assert f"fills {100 * share:.0f} %" in fit.sentence
    assert "5.0 mm high" in fit.sentence and "at least 20 px high" in fit.sentence


def test_pixels_that_are_not_square_count_each_way() -> None:
    probe = Probe(10.0, (0.25, 0.5))
    assert judged(Rect(0, 0, 50, 50), probe=probe).word == "tight"
    assert judged(Rect(0, 0, 60, 30), probe=probe).word == "fits"
    assert probe.radii_px == (20.0, 10.0)


def test_a_place_over_the_edge_is_said_with_its_share() -> None:
    fit = judged(Rect(0, 0, 100, 100), (0, 50))
    assert fit.word == "off its edge"
    assert "50 % of what it sees" in fit.sentence and "5 mm from every edge" in fit.sentence


def test_a_later_zone_under_the_probe_is_said_and_an_earlier_one_is_not() -> None:
    fit = judged(Rect(0, 0, 100, 100), None, Rect(0, 0, 20, 20), Rect(50, 0, 50, 100))
    assert fit.word == "covered"
    assert "over-2 lies over this zone: 50 %" in fit.sentence
    later = Drawn(1, "top", Rect(0, 0, 100, 100))
    assert fit_of(later, Plan((Drawn(0, "under", Rect(0, 0, 90, 90)), later)), PROBE).word == "fits"


def test_an_assumed_aperture_is_said_to_be() -> None:
    assert "(assumed)" in judged(Rect(0, 0, 100, 10), probe=Probe(10.0, (0.5, 0.5), assumed=True)).sentence
    assert "(assumed)" not in judged(Rect(0, 0, 100, 10)).sentence


def test_the_table_says_everything_a_line_a_zone() -> None:
    lines = unbroken(table_of("desk", (CHART, BADGE), Probe(40.0, (0.5, 0.5), assumed=True)))
    assert lines[0].split("  ")[0] == "zone"
    assert lines[1].split() == ["px", "px", "mm", "px"]
    assert [word.strip() for word in lines[3].split("  ") if word] == [
        "badge", "1000, 40", "200 x 100", "tight", "chart", "chart", "100.0 x 50.0", "1050, 90",
    ]  # fmt: skip
    assert lines[5] == "aperture: 40 mm (assumed)"
    assert lines[6].startswith("badge: Tight: 50.0 mm high")


def test_a_panel_without_zones_says_how_to_draw_them() -> None:
    assert "panelwear zones" in unbroken(table_of("desk", (), PROBE))[0]


@pytest.mark.parametrize("aperture_mm", [1.0, 27.0])
def test_sees_is_a_share(aperture_mm: float) -> None:
    probe = Probe(aperture_mm, (0.5, 0.5))
    assert probe.sees(Rect(0, 0, 200, 200), (100, 100)) == pytest.approx(1.0, abs=1e-3)
    assert probe.sees(Rect(0, 0, 200, 200), (300, 300)) == 0.0
