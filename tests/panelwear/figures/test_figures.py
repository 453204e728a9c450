"""Figures of tables made by hand, where the right answer is known."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.figures import of_checkpoint
from panelwear.figures.evidence import evidence_of
from panelwear.figures.registry import all_figures
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.figures.handmade import D65, Bench
from tests.references import value

NOTHING = MeterTerms(session_scale=0, session_xy=0, session_filters=0, placement=0, dark_noise_cd_m2=0)
RED, GREEN, BLUE = (0.64, 0.33), (0.30, 0.60), (0.15, 0.06)


def measured(bench: Bench, meter: MeterTerms = NOTHING, **more):
    return of_checkpoint(bench.table(), meter, **more)


def spot(**noise) -> Bench:
    """Read a panel of 300 cd/m² in small windows and 220 in full, black 0.05, gamma 2.2."""
    bench = Bench(**noise)
    bench.put()
    bench.read("reference/centre/grey/c128/w10", "reference", 66.0)
    bench.read("field/centre/grey/c0/full", "black", 0.05, n=8)
    for hue, Y, xy in (("red", 63.8, RED), ("green", 214.5, GREEN), ("blue", 21.7, BLUE)):
        bench.read(f"primary/centre/{hue}/c255/w10", "primary", Y, xy)
    for code in (64, 128, 192, 255):
        bench.read(f"ramp/centre/grey/c{code}/w10", "ramp", 0.05 + 299.95 * (code / 255) ** 2.2)
    bench.read("reference/centre/grey/c128/w10", "reference", 66.0)
    for share, Y in ((1, 300), (10, 300), (50, 250)):
        bench.read(f"loading/centre/grey/c255/w{share}", "loading", Y)
    bench.read("loading/centre/grey/c255/w100", "loading", 220)
    bench.read("reference/centre/grey/c128/w10", "reference", 66.0)
    return bench


def test_a_panel_without_noise_gives_its_own_numbers_back():
    found = measured(spot())
    assert found["peak"].value == pytest.approx(300)
    assert found["peak/w50"].value == pytest.approx(250)
    assert found["black"].value == pytest.approx(0.05)
    assert found["contrast/sequential"].value == pytest.approx(6000)
    assert found["gamma"].value == pytest.approx(2.2, abs=1e-6)
    assert found["gamma/local/c64-c128"].value == pytest.approx(2.2, abs=1e-6)
    assert [found["white.x"].value, found["white.y"].value] == pytest.approx(D65)
    assert found["white.cct"].value == pytest.approx(6504.3, abs=0.5)
    assert found["white.duv"].value == pytest.approx(0.0032, abs=1e-4)
    assert found["white.d65"].value == pytest.approx(0, abs=1e-9)
    assert found["red.Y"].value == pytest.approx(63.8)
    assert [found["blue.u_prime"].value, found["blue.v_prime"].value] == pytest.approx(value("UCS-709B")["expected"])
    # (300 - 0.05) over (63.8 + 214.5 + 21.7 - 3 x 0.05): black is counted once on either side.
    assert found["additivity"].value == pytest.approx(299.95 / 299.85)
    assert found["loading/w10"].value == pytest.approx(100 * 80 / 220)
    assert found["loading/w50"].value == pytest.approx(100 * 30 / 220)


def test_the_scale_of_the_meter_stays_in_luminances_and_cancels_in_ratios():
    found = measured(spot(), replace(NOTHING, session_scale=0.01))
    assert found["peak"].u == pytest.approx(3.0, rel=1e-6)
    assert [c.name for c in found["peak"].components] == ["session scale"]
    for name in ("contrast/sequential", "gamma", "additivity", "loading/w10", "white.x"):
        assert found[name].u < 1e-6 * max(1, abs(found[name].value)), name
    # Colour temperature has a coarser derivative, for its own ripple of 0.06 K.
    assert found["white.cct"].u < 0.05


def test_the_placement_is_assumed_from_one_and_measured_from_more():
    once = measured(spot(), replace(NOTHING, placement=0.002))
    [part] = once["peak"].components
    assert (part.name, part.note, part.u) == ("placement", "assumed", pytest.approx(0.6, rel=1e-6))
    bench = spot()
    bench.put()
    bench.placed = 1.01
    bench.read("loading/centre/grey/c255/w10", "loading", 300)
    twice = measured(bench, replace(NOTHING, placement=0.002))
    assert twice.evidence.placement.u == pytest.approx(math.log(1.01) / math.sqrt(2), rel=1e-9)
    assert twice.evidence.placement.dof == 1
    assert "from 2 placements" in twice.evidence.placement.note


def test_noise_shows_as_repeatability_of_about_its_size():
    found = measured(spot(seed=4, noise=0.002))
    u = [part.u for part in found["peak/w1"].components if part.name == "repeatability"]
    # 0.2 % of 300 cd/m² over the root of five readings.
    assert u == [pytest.approx(300 * 0.002 / math.sqrt(5), rel=0.7)]
    assert found["peak/w1"].dof < 20


def test_a_black_under_the_floor_is_a_bound_and_so_is_the_contrast_over_it():
    found = measured(spot(), floor_cd_m2=0.1)
    assert (found["black"].limit, found["black"].value) == ("<", 0.1)
    assert "read 0.0500 cd/m²" in found["black"].note
    assert (found["contrast/sequential"].limit, found["contrast/sequential"].value) == (">", pytest.approx(3000))


def test_a_contrast_over_a_black_that_is_hardly_known_is_a_lower_bound():
    found = measured(spot(seed=2, dark_noise=0.02))
    relative = found["black"].u / found["black"].value
    assert relative > 0.1
    assert found["black"].limit == ""
    assert found["contrast/sequential"].limit == ">"
    assert found["contrast/sequential"].value < 300 / found["black"].value


def test_black_readings_that_agree_by_luck_do_not_make_a_contrast_sure():
    found = measured(spot(), replace(NOTHING, dark_noise_cd_m2=0.02))
    assert found["black"].limit == ""
    assert found["contrast/sequential"].limit == ">"


def test_a_meter_that_gives_luminance_only_gives_no_colour_and_every_luminance():
    bench = Bench(noise=0.001)
    bench.put()
    bench.read("loading/centre/grey/c255/w10", "loading", 300, colour=False)
    bench.read("field/centre/grey/c0/full", "black", 0.05, colour=False)
    found = measured(bench)
    assert found["peak"].value == pytest.approx(300, rel=0.005)
    assert "white.Y" in found
    assert "white.x" not in found
    assert "contrast/sequential" in found


def test_the_correction_matrix_is_applied():
    found = measured(spot(), correction=np.diag([1.0, 1.1, 1.0]))
    assert found["peak"].value == pytest.approx(330)
    assert found["white.x"].value < D65[0]


def test_a_zone_is_compared_drift_free_in_the_order_zone_reference_reference_zone():
    # NIST/SEMATECH e-Handbook 2.3.3.1.2: equal steps of time and linear drift leave the difference as it is.
    bench = Bench(drift=lambda t: 1e-4 * t)
    for place, Y, pair in (("vessel-list", 48.0, 1), ("chart", 50.0, 2), ("chart", 50.0, 3), ("vessel-list", 48.0, 4)):
        bench.put()
        bench.read(f"zone/{place}/grey/c128/full", "zone", Y, pair=f"vessel-list.{pair}")
    found = measured(bench)
    assert found["zone/vessel-list/grey/c128.contrast"].value == pytest.approx(100 * (48 / 50 - 1), abs=0.002)
    assert found["zone/vessel-list/grey/c128.du_prime"].value == pytest.approx(0, abs=1e-9)


def test_a_zone_that_aged_less_is_above_zero_and_has_its_placements_in_the_uncertainty():
    bench = Bench(2, noise=0.001)
    for place, Y, pair in (("clock-badge", 51.0, 1), ("chart", 50.0, 2), ("chart", 50.0, 3), ("clock-badge", 51.0, 4)):
        bench.put()
        bench.read(f"zone/{place}/blue/c180/full", "zone", Y, BLUE, pair=f"clock-badge.{pair}")
    estimate = measured(bench, replace(NOTHING, placement=0.001))["zone/clock-badge/blue/c180.contrast"]
    assert estimate.value == pytest.approx(2.0, abs=0.3)
    assert {part.name for part in estimate.components} == {"repeatability", "placement"}


def grid_of(levels, noise=0.0) -> Bench:
    bench = Bench(5, noise=noise)
    places = ["x100y100", "x500y100", "x900y100", "x100y500", "centre", "x900y500", "x100y900", "x500y900", "x900y900"]
    for place, Y in zip(places, levels, strict=True):
        bench.put()
        bench.read(f"grid/{place}/grey/c128/full", "grid", Y)
    return bench


def test_uniformity_meets_its_worked_numbers():
    found = measured(grid_of(value("UNI-01")["inputs"]["L"]))
    stem = "uniformity/grey/c128"
    assert found[f"{stem}.min_over_max"].value == pytest.approx(value("UNI-01")["expected"])
    assert found[f"{stem}.from_median"].value == pytest.approx(value("UNI-04")["expected"], abs=1e-5)
    assert found[f"{stem}.from_centre"].value == pytest.approx(value("UNI-05")["expected"], abs=1e-5)
    expected = 100 * np.mean(np.log([100 / 92, 98 / 90, 94 / 88]))
    assert found[f"{stem}.left_right"].value == pytest.approx(expected)
    assert found[f"{stem}.duv_prime"].limit in {"", "<"}


def test_an_even_panel_has_a_spread_that_is_only_a_bound():
    found = measured(grid_of([100.0] * 9, noise=0.002), replace(NOTHING, placement=0.003))
    spread = found["uniformity/grey/c128.spread"]
    assert spread.limit == "<"
    assert spread.value < 0.5


def test_checkerboard_contrast_takes_white_and_black_of_the_same_place():
    bench = Bench()
    bench.put()
    bench.read("checkerboard/centre/grey/c255/check5x5a", "checkerboard", 240.0)
    bench.read("checkerboard/centre/grey/c255/check5x5b", "checkerboard", 0.6)
    assert measured(bench)["contrast/checkerboard"].value == pytest.approx(400)


def test_greys_that_follow_white_have_distances_that_are_bounds_and_one_that_strays_is_told():
    bench = spot(seed=7, noise=0.001)
    bench.read("ramp/centre/grey/c100/w10", "ramp", 40.0, (0.3200, 0.3290), n=20)
    bench.read("ramp/centre/grey/c110/w10", "ramp", 50.0, D65, n=20)
    found = measured(bench)
    straying = found["grey/c100.duv_prime"]
    assert straying.limit == ""
    assert straying.value == pytest.approx(0.0047, abs=0.0008)
    assert found["grey/c110.duv_prime"].limit == "<"
    assert found["grey/c110.de2000"].limit == "<"
    assert found["grey.duv_prime_max"].note == "at c100"


def test_bad_readings_are_left_out_and_counted_and_never_stop_the_rest():
    bench = spot()
    table = bench.table()
    Y = table.Y.copy()
    wild = table.patch == "loading/centre/grey/c255/w50"
    first = np.flatnonzero(wild)[:4]
    Y[first] = [np.nan, -20.0, 9.9e37, 1e6]
    found = of_checkpoint(replace(table, Y=Y), NOTHING)
    assert found.evidence.left_out == 4
    assert found["peak/w50"].value == pytest.approx(250)


@pytest.mark.parametrize("seed", range(12))
def test_whatever_stands_in_a_table_every_figure_is_a_number_or_says_why_not(seed):
    rng = np.random.default_rng(seed)
    table = spot(seed=seed, noise=0.001).table()
    n = len(table)
    junk = rng.choice([np.nan, 0.0, -5.0, 1e9, 1e-9, np.inf, -np.inf, 50.0], (n, 3))
    hit = rng.random((n, 3)) < rng.choice([0.05, 0.4, 1.0])
    X, Y, Z = np.where(hit, junk, table.XYZ).T
    found = of_checkpoint(replace(table, X=X, Y=Y, Z=Z, segment=rng.integers(1, 3, n)), MeterTerms())
    json.dumps(found.to_json(), allow_nan=False)
    for name, estimate in found.items():
        assert math.isfinite(estimate.value) or estimate.note, name
        assert estimate.u >= 0 or math.isnan(estimate.value), name


def test_luminances_scale_with_the_light_and_ratios_do_not():
    table = spot(seed=5, noise=0.001).table()
    # Bright enough that nothing crosses a floor on the way.
    doubled = replace(table, X=2 * table.X, Y=2 * table.Y, Z=2 * table.Z)
    one, two = of_checkpoint(table, NOTHING), of_checkpoint(doubled, NOTHING)
    for name, estimate in one.items():
        factor = 2 if estimate.unit == "cd/m²" else 1
        # The eye's scales know absolute light.
        if not name.endswith((".de_itp", "_prime_max")) and not name.startswith("gsdf."):
            assert two[name].value == pytest.approx(factor * estimate.value, rel=1e-5, abs=1e-7), name


def test_a_reading_flagged_disturbed_stays_out_and_other_flags_are_said():
    bench = spot()
    bench.read("loading/centre/grey/c255/w25", "loading", 290, flags="limiter not-settled")
    bench.read("loading/centre/grey/c255/w25", "loading", 9000, flags="disturbed")
    found = measured(bench)
    assert found["peak/w25"].value == pytest.approx(290)
    assert found["peak/w25"].note == "limiter, not-settled"


@pytest.mark.parametrize("purpose", ["warm-up", "settling", "trial", "room", "locate"])
def test_readings_taken_to_prepare_a_run_make_no_figure_and_are_not_missed(purpose):
    bench = spot()
    bench.read("field/centre/grey/c0/full", purpose, 40.0)
    bench.read("window/centre/grey/c255/w10", purpose, 500.0)
    found = measured(bench)
    assert found["black"].value == pytest.approx(0.05)
    assert found["peak"].value == pytest.approx(300)
    assert found.evidence.left_out == 0


def test_a_patch_seen_dimming_counts_as_limited_as_a_whole():
    bench = spot()
    bench.step += 1
    for number, flags in enumerate(["ok"] * 6 + ["limiter"] * 2):
        bench.read("loading/centre/grey/c255/w25", "loading", 290 - number, n=1, pause_s=0.0, flags=flags)
    found = measured(bench)
    assert found["peak/w25"].note == "limiter"
    # All eight readings stand in the mean: what the patch gave while it stood.
    assert found["peak/w25"].value == pytest.approx(286.5)
    assert "limiter" not in found["peak/w10"].note


def test_two_sessions_share_neither_drift_nor_placement():
    bench = spot()
    bench.session = 2
    bench.visit = 0
    bench.put()
    for _ in range(2):
        bench.read("reference/centre/grey/c128/w10", "reference", 70.0)
    evidence = evidence_of(bench.table(), NOTHING)
    assert len(evidence.drift.segments) == 2
    assert len(set(evidence.table.visit.tolist())) == 2


def test_a_table_without_readings_gives_no_figures():
    table = spot().table()
    assert dict(of_checkpoint(table.where(np.zeros(len(table), dtype=bool)), NOTHING)) == {}


def test_every_figure_can_be_written_as_json_and_has_name_unit_and_caption():
    found = measured(spot(seed=3, noise=0.001), MeterTerms())
    plain = json.loads(json.dumps(found.to_json(), allow_nan=False))
    assert [entry["name"] for entry in plain] == list(found)
    assert all(entry["unit"] and entry["caption"] for entry in plain)
    peak = next(entry for entry in plain if entry["name"] == "peak")
    assert peak["interval_95"][0] < peak["value"] < peak["interval_95"][1]
    total = math.sqrt(sum(c["u"] ** 2 for c in peak["components"]))
    assert total == pytest.approx(peak["u"], rel=1e-9)


def test_every_figure_module_is_found_in_a_stable_order():
    names = [name for name, _ in all_figures()]
    assert names == [
        "peak", "black", "contrast", "gamma", "conformance", "white", "grey", "primaries", "gamut", "additivity",
        "uniformity", "zones", "loading", "stability",
    ]  # fmt: skip


def test_stability_tells_the_drift_and_the_noise_that_are_there():
    bench = Bench(9, noise=0.0015, drift=lambda t: 1e-5 * t)
    bench.put()
    for number in range(20):
        bench.read("reference/centre/grey/c128/w10", "reference", 50.0)
        bench.read(f"ramp/centre/grey/c{number + 1}/w10", "ramp", 20.0, pause_s=30.0)
    found = measured(bench)
    drift, noise = found["stability.drift"], found["stability.noise"]
    assert abs(drift.value - 100 * 1e-5 * bench.now_s) < 3 * drift.u + 0.05
    assert noise.value == pytest.approx(0.15, rel=0.25)
