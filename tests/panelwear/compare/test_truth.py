"""Worn simulated panels: the intervals of their changes hold what a perfect probe would find."""

import numpy as np
import pytest

from benchmarks.comparison_power import meter_of, plan_for
from benchmarks.fast_panel.readings import read_plan
from panelwear.compare.comparing import comparison_of
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evidence import evidence_of
from panelwear.figures.record_facts import RecordFacts
from panelwear.simulation.model import drawn_panel
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE, ProbeModel
from panelwear.simulation.truth import truth_of
from panelwear.uncertainty.coverage import interval
from panelwear.uncertainty.meter import MeterTerms

PERFECT = ProbeModel(0.0, 0.0, 0.0, 0.0, 0.0, DEFAULT_PROBE.aperture_mm, placement_mm=0.0)
QUIET = MeterTerms(session_scale=0.0, session_xy=0.0, session_filters=0.0, placement=0.0, dark_noise_cd_m2=0.0)
PANELS = 4
HOURS = (0.0, 4400.0)


def compared(plan, states, probe, meter, seed, warm_up_s=1800.0):
    subjects = [
        evidence_of(
            read_plan(plan, state, probe, seed=seed, checkpoint=i, name=str(i), warm_up_s=warm_up_s),
            meter,
            record=RecordFacts(circumstances=Circumstances(name=str(i), hours=state.hours, probe="P")),
        )
        for i, state in enumerate(states)
    ]
    return comparison_of(subjects).pairs[0]


@pytest.fixture(scope="module")
def worn():
    plan = plan_for()
    found = []
    for seed in range(1, PANELS + 1):
        states = [SimulatedPanel(drawn_panel(seed)).at(hours) for hours in HOURS]
        found.append(
            (
                states,
                compared(plan, states, PERFECT, QUIET, seed, warm_up_s=1e7),
                compared(plan, states, DEFAULT_PROBE, meter_of(DEFAULT_PROBE), seed),
            )
        )
    return found


@pytest.mark.slow
def test_intervals_hold_the_truth(worn):
    asked, held = 0, 0
    for _, true, found in worn:
        there = {row.name: row.change.step.value for row in true.rows}
        for row in found.rows:
            # A hue has a line only where it stands out: picked by its value, it is no fair sample.
            if row.vector is None and not row.name.startswith("zone-hue/"):
                low, high = interval(row.change.step)
                asked += 1
                held += low <= there[row.name] <= high
    # 95 % of some 52; 45 or fewer would happen once in 100 such tests, and the seeds are fixed.
    assert asked >= 45
    assert held / asked >= 0.88


def test_a_perfect_probe_finds_the_retention_that_is_true(worn):
    for states, true, _ in worn:
        kept = truth_of(states[1]).retention["centre"]
        for channel in true.sub_pixels.channels:
            assert channel.retention.value == pytest.approx(100 * kept[channel.hue], abs=0.05)


def test_a_perfect_probe_finds_the_zone_changes_that_are_true(worn):
    for states, true, _ in worn:
        there = truth_of(states[1]).zone_change
        for zone in true.zones:
            for colour in zone.colours:
                if colour.level == "c180":
                    wanted = 100 * there[zone.zone][colour.hue]["c180"]
                    assert colour.change.step.value == pytest.approx(wanted, abs=0.12)


def test_the_channel_that_wears_most_is_never_named_wrongly(worn):
    named = 0
    for states, _, found in worn:
        kept = truth_of(states[1]).retention["centre"]
        if found.sub_pixels.most:
            named += 1
            assert found.sub_pixels.most == min(("red", "green", "blue"), key=lambda hue: kept[hue])
    assert named >= PANELS / 2


def test_white_explained_by_its_channels_closes(worn):
    closed = [found.sub_pixels.closure.closes for _, _, found in worn]
    assert sum(closed) >= PANELS - 1
    assert np.all([true.sub_pixels.closure.luminance.value == pytest.approx(0, abs=0.02) for _, true, _ in worn])
