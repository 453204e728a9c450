"""From wanted levels to codes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.colorimetry.gsdf import index_of
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver, Resolver, check_reach
from sequences.model import Level, Patch, Place
from tests.panelwear.panel.panels import Panel, measured, power_law
from tests.references import values

PEAK, BLACK = 250.0, 0.02
ASSUMED = assumed_response({"kind": "bt1886", "peak_cd_m2": PEAK, "black_cd_m2": BLACK})


def patch(level: Level, hue: str = "grey", *, mix: bool = False, geometry: str = "w10") -> Patch:
    return Patch("ramp", Place("centre", (0, 0)), hue, level, geometry, "ramp", "window", between_codes=mix)  # type: ignore[arg-type]


def test_the_resolver_keeps_the_engines_contract() -> None:
    resolver: Resolver = LevelResolver(ASSUMED)
    assert resolver.resolve(patch(Level("code", 128))).level_basis == "code"


def test_a_code_is_passed_through_to_the_channels_of_its_hue() -> None:
    resolved = LevelResolver(ASSUMED).resolve(patch(Level("code", 180), "magenta"))
    assert resolved.codes == (180.0, 0.0, 180.0)
    assert resolved.target_cd_m2 is None


@pytest.mark.parametrize("wanted", [0.5, 1, 2, 5, 10, 20, 50, 100, 200])
@pytest.mark.parametrize("hue", ["grey", "red", "green", "blue", "yellow"])
def test_a_wanted_luminance_is_met_by_the_mix_and_by_the_nearest_code(wanted: float, hue: str) -> None:
    peak = ASSUMED.curve(hue).peak_cd_m2
    if wanted > peak:
        assert LevelResolver(ASSUMED).resolve(patch(Level("cd_m2", wanted), hue)).out_of_reach
        return
    resolver = LevelResolver(ASSUMED)
    whole = resolver.resolve(patch(Level("cd_m2", wanted), hue))
    mixed = resolver.resolve(patch(Level("cd_m2", wanted), hue, mix=True))
    table = np.asarray(ASSUMED.curve(hue).cd_m2)
    assert abs(table[int(max(whole.codes))] - wanted) == np.abs(table - wanted).min()
    assert ASSUMED.luminance(hue, max(mixed.codes)) == pytest.approx(wanted, rel=1e-4)
    assert mixed.target_cd_m2 == wanted
    assert not mixed.out_of_reach


def test_share_of_peak_is_of_the_hues_own_peak() -> None:
    resolved = LevelResolver(ASSUMED).resolve(patch(Level("share_of_peak", 0.25), "blue"))
    assert resolved.target_cd_m2 == pytest.approx(0.25 * ASSUMED.blue.peak_cd_m2)


def test_jnd_levels_are_equal_steps_of_the_standard_function_from_black_to_peak() -> None:
    resolver = LevelResolver(ASSUMED)
    wanted = [resolver.resolve(patch(Level("jnd", k, 18), mix=True)).target_cd_m2 for k in range(1, 19)]
    steps = np.diff(index_of(np.array(wanted, dtype=np.float64)))
    assert steps == pytest.approx(np.full(17, steps[0]), abs=1e-6)
    assert wanted[0] == pytest.approx(0.05, abs=1e-9)
    assert wanted[-1] == pytest.approx(PEAK, rel=1e-9)


def test_jnd_ends_meet_the_published_function() -> None:
    # DICOM PS3.14, 7.1: a panel from L(1) to L(512) has step 512 of 512 at L(512), and step k at L(k).
    lit = {r["inputs"]["j"]: r["expected"] for r in values("GSDF-L")}
    panel = assumed_response({"kind": "power", "peak_cd_m2": lit[512], "black_cd_m2": 0.0, "gamma": 2.2})
    resolver = LevelResolver(panel)
    for j in (100, 200, 300, 400, 500, 512):
        got = resolver.resolve(patch(Level("jnd", j, 512))).target_cd_m2
        # Black is clamped at 0.05 cd/m², which is index 1.004: the steps lie at most 0.004 of a step higher.
        assert got == pytest.approx(lit[j], rel=1e-4)


def test_a_level_out_of_reach_gets_the_end_and_is_said_beforehand() -> None:
    resolver = LevelResolver(ASSUMED)
    wanted = [
        patch(Level("cd_m2", 400)),
        patch(Level("cd_m2", 0.001)),
        patch(Level("cd_m2", 100)),
        patch(Level("code", 300)),
    ]
    assert [resolver.resolve(p).out_of_reach for p in wanted] == [True, True, False, True]
    assert resolver.resolve(wanted[0]).codes == (255.0, 255.0, 255.0)
    assert resolver.resolve(wanted[1]).codes == (0.0, 0.0, 0.0)
    said = check_reach([*wanted, wanted[0]], resolver)
    assert len(said) == 3
    assert said[0].startswith("ramp/centre/grey/Y400/w10: 400 cd/m² is out of reach, grey goes from 0.02 to 250 cd/m²")
    assert "drive level 300 is outside 0 to 255" in said[2]
    assert check_reach([wanted[2]], ASSUMED) == ()


def test_a_level_within_half_a_step_of_the_peak_is_in_reach() -> None:
    resolver = LevelResolver(ASSUMED)
    step = ASSUMED.grey.quantum(255)
    assert not resolver.resolve(patch(Level("cd_m2", PEAK + 0.49 * step))).out_of_reach
    assert resolver.resolve(patch(Level("cd_m2", PEAK + 0.51 * step))).out_of_reach


def test_a_measured_response_is_used_for_its_own_geometry_and_called_assumed_for_another() -> None:
    panel = Panel(power_law(2.4), peak_cd_m2=180.0)
    resolver = LevelResolver(ASSUMED)
    assert resolver.resolve(patch(Level("cd_m2", 50))).level_basis == "assumed-response"
    resolver.learn(measured(panel))
    own = resolver.resolve(patch(Level("cd_m2", 50), mix=True))
    assert own.level_basis == "measured-response"
    assert panel.luminance(own.codes[0]) == pytest.approx(50, rel=0.005)
    other = resolver.resolve(patch(Level("cd_m2", 50), mix=True, geometry="full"))
    assert other.level_basis == "assumed-response"
    assert other.codes == own.codes
    on_grey = replace(patch(Level("cd_m2", 50)), background=(64.0, 64.0, 64.0))
    assert resolver.resolve(on_grey).level_basis == "assumed-response"


def test_a_new_response_replaces_the_older_one_of_its_geometry() -> None:
    resolver = LevelResolver(ASSUMED, [measured(Panel(power_law(2.2), peak_cd_m2=100.0))])
    resolver.learn(measured(Panel(power_law(2.2), peak_cd_m2=300.0)))
    assert not resolver.resolve(patch(Level("cd_m2", 250))).out_of_reach
