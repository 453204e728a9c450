"""A contrast through an aperture that is not filled, the same for the figures of a checkpoint and for a comparison."""

from __future__ import annotations

import pytest

from panelwear.figures.evidence import evidence_of
from panelwear.figures.fillings import Filling
from panelwear.figures.quadruples import quadruples
from panelwear.figures.record_facts import RecordFacts
from panelwear.figures.zone_contrasts import contrasts
from tests.panelwear.compare.panels import NOTHING
from tests.panelwear.figures.handmade import Bench


def read(zone_cd_m2: float, reference_cd_m2: float) -> Bench:
    bench = Bench()
    for position, luminance in enumerate((zone_cd_m2, reference_cd_m2, reference_cd_m2, zone_cd_m2), start=1):
        bench.put()
        bench.read("zones/clock-badge/grey/c128/full", "zone", luminance, pair=f"clock-badge.{position}")
    return bench


def contrast_of(bench: Bench, filling: Filling | None) -> float:
    record = RecordFacts(fillings={"clock-badge": filling} if filling else {})
    evidence = evidence_of(bench.table(), NOTHING, record=record)
    joint = contrasts(evidence, quadruples(evidence)["clock-badge"])
    assert joint is not None
    return joint.percent(0, "clock-badge").value


def test_a_field_that_fills_half_of_the_aperture_has_twice_the_contrast_read() -> None:
    half = Filling(own=0.5, other=1.0, u_balance=0.0, in_place=False)
    assert contrast_of(read(98.0, 100.0), None) == pytest.approx(-2.0, abs=1e-9)
    assert contrast_of(read(98.0, 100.0), half) == pytest.approx(-4.0, abs=1e-9)


def test_a_zone_darker_than_the_share_it_fills_allows_is_black_and_not_below_it() -> None:
    # 60 % less light through an aperture the zone fills by half: no contrast of its own explains that.
    half = Filling(own=0.5, other=1.0, u_balance=0.0, in_place=False)
    assert contrast_of(read(40.0, 100.0), half) == pytest.approx(-99.9, abs=1e-9)


def test_strips_are_weighed_by_the_shares_both_fill() -> None:
    strips = Filling(own=0.6, other=0.5, u_balance=0.01, in_place=True, strip_mm=4.0, u_aside=0.004)
    assert contrast_of(read(120.0, 100.0), strips) == pytest.approx(0.0, abs=1e-9)
    evidence = evidence_of(read(120.0, 100.0).table(), NOTHING, record=RecordFacts(fillings={"clock-badge": strips}))
    joint = contrasts(evidence, quadruples(evidence)["clock-badge"])
    assert joint is not None
    moved = {m.source.note: float(abs(m.by[0, 0])) for m in joint.moved}
    assert moved["0.3 mm aside"] == pytest.approx(100 * 0.004)
    assert moved["uniform disc, diameter within 2 %"] == pytest.approx(100 * (0.01**2 - 0.004**2) ** 0.5)
