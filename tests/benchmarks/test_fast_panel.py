"""The numeric path gives what the picture path gives."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from benchmarks.fast_panel.readings import FastPatch, patches_of, plan_of, read_plan
from panelwear.panel.resolve import Resolved
from panelwear.simulation.behaviour import StaticDimming, WarmUp
from panelwear.simulation.model import HARBOUR_DESK_PANEL, PanelModel
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE, ProbeModel
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from patterns.frame import Codes
from patterns.raster import raster
from patterns.registry import build
from sequences.model import HUES, Level, Patch, Place, PutProbe, Read, Reads

W, H = 1280, 720
PERFECT = ProbeModel(0.0, 0.0, 0.0, 0.0, 0.0, 10.0, placement_mm=0.0)
CENTRE = (W / 2, H / 2)


def grey(code: float) -> Codes:
    return (code, code, code)


def patch(name: str, codes: Codes, at: tuple[float, float] = CENTRE, visit: int = 1, **more: object) -> FastPatch:
    frame = build(name, W, H, codes=codes, **more)
    key = f"test/x/grey/c{codes[0]:g}/{name}"
    return FastPatch(key, "ramp", "centre", at, frame, codes, visit=visit, reads=3)


def some_patches() -> list[FastPatch]:
    zones = {z.name: z for z in harbour_desk_zones(W, H)}
    return [
        patch("window", grey(255), share=0.1),
        patch("window", grey(255), share=1.0),
        patch("window", grey(0), share=0.1),
        patch("field", (0.0, 0.0, 200.0)),
        patch("field", grey(128.4375)),
        patch("checkerboard", grey(255), columns=8, rows=6),
        patch("window", grey(180), share=0.0005),
        patch("field", grey(128), zones["vessel-list"].probe_at_px, visit=2),
        patch("field", grey(128), zones["route-line"].probe_at_px, visit=3),
        patch("field", grey(128), (2.0, 5.0), visit=4),
    ]


@pytest.mark.parametrize("hours", [0, 4400])
@pytest.mark.parametrize("model", [PanelModel(), PanelModel(white_share=0.6, additivity=1.2)], ids=["rgb", "rgbw"])
def test_without_noise_it_equals_the_picture_path(hours: float, model: PanelModel) -> None:
    patches = some_patches()
    state = SimulatedPanel(model).at(hours)
    table = read_plan(plan_of(patches, ACTIVE_AREA_MM), state, PERFECT, warm_up_s=1e9)
    for index, shown in enumerate(patches):
        found = table.where(table.repeat == 1).XYZ[index]
        assert found == pytest.approx(state.light(raster(shown.frame), shown.at_px), rel=2e-6, abs=1e-9)


@pytest.mark.slow
def test_with_noise_it_scatters_as_the_probe_model_says() -> None:
    steady = replace(HARBOUR_DESK_PANEL, warm_up=WarmUp(amplitudes=(0.0, 0.0, 0.0)))
    state = SimulatedPanel(steady).at(0)
    plan = plan_of([replace(patch("window", grey(255), share=0.1), reads=2000)], ACTIVE_AREA_MM)
    table = read_plan(plan, state, seed=3)
    assert table.XYZ.std(axis=0) / table.XYZ.mean(axis=0) == pytest.approx(0.0015, rel=0.07)
    means = [
        read_plan(plan_of([replace(plan.patches[0], reads=1)], ACTIVE_AREA_MM), state, seed=s).Y[0] for s in range(400)
    ]
    assert np.std(means) / np.mean(means) == pytest.approx(np.hypot(0.005, np.hypot(0.0015, 0.001)), rel=0.12)


def test_same_seed_same_readings_and_another_checkpoint_others() -> None:
    plan, state = plan_of(some_patches(), ACTIVE_AREA_MM), SimulatedPanel().at(500)
    one, same, other = (read_plan(plan, state, seed=1, checkpoint=k) for k in (0, 0, 1))
    assert np.array_equal(one.XYZ, same.XYZ)
    assert not np.array_equal(one.XYZ, other.XYZ)


def test_warm_up_runs_on_through_the_readings() -> None:
    plan = plan_of([replace(patch("field", grey(128)), reads=100)], ACTIVE_AREA_MM)
    table = read_plan(plan, SimulatedPanel().at(0), PERFECT, warm_up_s=0.0)
    expected = HARBOUR_DESK_PANEL.warm_up.gain(table.monotonic_s - 1000.0)
    blue = table.Z / table.Z[-1]
    assert (np.diff(table.Y) < 0).all()
    assert blue == pytest.approx(expected[:, 2] / expected[-1, 2], abs=3e-4)  # Z is nearly all blue


def test_standing_pictures_dim_where_the_panel_does_that() -> None:
    model = replace(HARBOUR_DESK_PANEL, dimming=StaticDimming(10.0, 0.8, 5.0))
    plan = plan_of([replace(patch("field", grey(128)), reads=100)], ACTIVE_AREA_MM)
    table = read_plan(plan, SimulatedPanel(model).at(0), PERFECT, warm_up_s=1e9)
    assert table.Y[-1] / table.Y[0] == pytest.approx(0.8, abs=1e-3)


class CodesOnly:
    """Resolves levels that are codes."""

    def resolve(self, patch: Patch) -> Resolved:
        red, green, blue = (patch.level.value * driven for driven in HUES[patch.hue])
        return Resolved((red, green, blue), None, "code")


def test_a_sequences_steps_become_readings_with_their_keys_visits_and_places() -> None:
    centre, corner = Place("centre", CENTRE), Place("x100y100", (128.0, 72.0))

    def read(number: int, place: Place, hue: str, code: float, visit: int) -> Read:
        wanted = Patch(
            "ramp",
            place,
            hue,  # type: ignore[arg-type]
            Level("code", code),
            "w10",
            "ramp",
            "window",
            (("share", 0.1),),
            reads=Reads(2),
        )
        return Read(number, visit, wanted, "pair.1" if number == 3 else "")

    steps = [
        PutProbe(1, 1, centre),
        read(2, centre, "grey", 128, 1),
        read(3, centre, "red", 255, 1),
        PutProbe(4, 2, corner),
        read(5, corner, "grey", 64, 2),
    ]
    found = patches_of(steps, W, H, CodesOnly())
    table = read_plan(plan_of(found, ACTIVE_AREA_MM), SimulatedPanel().at(0), name="2026-01-05-h0")
    assert list(table.patch[::2]) == [
        "ramp/centre/grey/c128/w10",
        "ramp/centre/red/c255/w10",
        "ramp/x100y100/grey/c64/w10",
    ]
    assert list(table.visit) == [1, 1, 1, 1, 2, 2]
    assert list(table.step[::2]) == [2, 3, 5]
    assert list(table.pair[::2]) == ["", "pair.1", ""]
    assert list(table.repeat) == [1, 2] * 3
    assert set(table.checkpoint) == {"2026-01-05-h0"}
    assert set(table.flags) == {"ok"}
    assert table.lit_share[0] == pytest.approx(0.1, abs=1e-3)
    assert table.geometry_sha256[0] == found[0].frame.geometry_sha256()
    assert len(table.usable()) == len(table) == 6
    assert table.Y[4] == pytest.approx(0.0, abs=0.05)  # the window is in the centre, the probe in the corner


def test_a_move_of_the_probe_takes_time_and_a_new_placement() -> None:
    field = patch("field", grey(255))
    model = replace(DEFAULT_PROBE, repeatability=0.0, dark_noise_cd_m2=0.0)
    table = read_plan(
        plan_of([field, replace(field, visit=2)], ACTIVE_AREA_MM), SimulatedPanel().at(0), model, warm_up_s=1e9
    )
    first, second = table.where(table.visit == 1), table.where(table.visit == 2)
    assert second.monotonic_s[0] - first.monotonic_s[-1] > 20
    assert np.ptp(first.Y) == pytest.approx(0.0, abs=1e-9)
    assert abs(second.Y[0] / first.Y[0] - 1) > 1e-5


def test_reads_in_two_stages_take_more_where_it_scatters_more() -> None:
    rule = Reads(n=5, until=0.002, until_cd_m2=0.001, max=40)
    plan = plan_of(
        [replace(patch("field", grey(code)), rule=rule, visit=k) for k, code in enumerate((255, 6), start=1)],
        ACTIVE_AREA_MM,
    )
    state = SimulatedPanel().at(0)
    counts = []
    for seed in range(40):
        table = read_plan(plan, state, seed=seed)
        counts.append([int((table.visit == visit).sum()) for visit in (1, 2)])
        assert list(table.repeat) == [*range(1, counts[-1][0] + 1), *range(1, counts[-1][1] + 1)]
        assert (np.diff(table.monotonic_s) > 0).all()
    bright, dark = np.mean(counts, axis=0)
    # Bright: s = 0.15 %, so 2.0 (s/u)^2 = 1.1, the first stage is enough nearly always. Dark: s = 0.003 cd/m²
    # against 0.001: 2.0 x 9 = 18 on average over the scatter of s from five readings, cut at 40.
    assert bright == pytest.approx(5.0, abs=0.3)
    assert 14 < dark < 21


def test_a_probe_without_noise_needs_no_second_stage() -> None:
    rule = Reads(n=5, until=0.002, max=40)
    plan = plan_of([replace(patch("field", grey(128)), rule=rule)], ACTIVE_AREA_MM)
    assert len(read_plan(plan, SimulatedPanel().at(0), PERFECT)) == 5


def test_a_drifting_probe_drifts_here_too() -> None:
    steady = replace(HARBOUR_DESK_PANEL, warm_up=WarmUp(amplitudes=(0.0, 0.0, 0.0)))
    plan = plan_of([replace(patch("field", grey(128)), reads=500)], ACTIVE_AREA_MM)
    table = read_plan(plan, SimulatedPanel(steady).at(0), replace(PERFECT, drift_per_h=0.01), warm_up_s=0.0)
    hours = (table.monotonic_s - 1000.0) / 3600
    assert table.Y / table.Y[0] == pytest.approx((1 + 0.01 * hours) / (1 + 0.01 * hours[0]), rel=1e-9)
