"""Response, closing in, enough readings and steadiness, through the whole engine."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from panelwear.folder import checkpoint
from panelwear.panel.response import response_from_json
from panelwear.run.plan import plan_steps
from panelwear.run.session import resume_checkpoint, run_checkpoint
from sequences.model import CloseLook, Hold, Level, Patch, PutProbe, Read, Reads, Step, WarmUp
from tests.panelwear.run.bench import CENTRE, Stand
from tests.panelwear.run.glow import (
    BLACK,
    GAMMA,
    PEAK,
    RESPONSE,
    WANTED,
    PowerCutError,
    a_patch,
    glow_bench,
    level_steps,
    numbered,
    of,
)


def test_wanted_luminances_appear_after_the_response_was_measured(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", level_steps())
    bench = glow_bench()

    run_checkpoint(bench, stand.job())

    ramp = of(stand.checkpoint.rows(), "ramp")
    for row, wanted in zip(ramp[::2], WANTED, strict=True):
        assert row.target_cd_m2 == wanted
        assert row.Y_cd_m2 == pytest.approx(wanted, rel=0.005)
        assert row.level_basis == "measured-response"
    told = "\n".join(bench.operator.told)  # type: ignore[attr-defined]
    assert "response in full: 0.02 to 240 cd/m²" in told
    assert "the channels add" in told


def test_trial_readings_are_rows_of_their_own_group(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", level_steps())

    run_checkpoint(glow_bench(), stand.job())

    trials = of(stand.checkpoint.rows(), "trial")
    assert trials
    assert all(row.patch.startswith("trial/centre/grey/Y") for row in trials)
    steps = [row.step for row in trials]
    assert max(len({row.red for row in trials if row.step == step}) for step in steps) <= 3


def test_the_response_is_stored_and_can_be_restored(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", level_steps(refine=False))

    run_checkpoint(glow_bench(), stand.job())

    stored = checkpoint.load(stand.checkpoint.directory).session["response"]["full"]
    response = response_from_json(stored)
    assert response.luminance("grey", 128) == pytest.approx(BLACK + (PEAK - BLACK) * (128 / 255) ** GAMMA, rel=1e-6)
    assert response.additivity is not None
    assert response.additivity.additive


def test_without_a_response_of_its_own_a_session_starts_from_the_last_and_says_assumed(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", level_steps(refine=False))
    run_checkpoint(glow_bench(), stand.job())
    later = replace(stand.job(), steps=tuple(numbered((a_patch("ramp", "grey", Level("cd_m2", 50.0)),))))

    run_checkpoint(glow_bench(), later)

    row = of(stand.checkpoint.rows(), "ramp")[-1]
    assert row.level_basis == "assumed-response"
    assert row.Y_cd_m2 == pytest.approx(50, rel=0.01)


def test_a_field_held_for_the_eye_has_the_luminance_too(tmp_path: Path) -> None:
    held = a_patch("ramp", "grey", Level("cd_m2", 50.0), between_codes=True)
    steps = (*tuple(numbered(RESPONSE))[:-1], Hold(90, held, "grey-50", seconds=1.0), CloseLook(91))
    stand = Stand(tmp_path / "harbour-desk", steps)

    run_checkpoint(glow_bench(), stand.job())

    codes = checkpoint.load(stand.checkpoint.directory).session["held"][0]["codes"]
    # A power of 2.4 on black: the code of 50 cd/m², worked back; the curve of ten points is good to a quarter code.
    assert codes[0] == pytest.approx(255 * ((50 - BLACK) / (PEAK - BLACK)) ** (1 / GAMMA), abs=0.25)


def test_a_plan_knows_what_the_panel_reached_the_last_time(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", level_steps(refine=False))
    run_checkpoint(glow_bench(), stand.job())
    wish = tmp_path / "wish.toml"
    wish.write_text(
        'name = "wish"\ndescription = "one level"\n[[steps]]\nkind = "place"\nat = "centre"\n[[steps]]\n'
        'kind = "read"\n[[steps.patches]]\ngroup = "window"\ncd_m2 = [200, 245]\n',
        encoding="utf-8",
    )

    plan = plan_steps(stand.panel, stand.job().probe_settings, wish, 1)

    assert len(plan.reach) == 1
    assert "245 cd/m² is out of reach" in plan.reach[0]
    assert "in an earlier session" in plan.reach[0]


def test_a_stored_response_that_is_broken_is_said_and_the_run_goes_on(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", level_steps(refine=False))
    run_checkpoint(glow_bench(), stand.job())
    stand.checkpoint.session["response"]["full"].pop("curves_cd_m2")
    stand.checkpoint.save()
    bench = glow_bench()

    run_checkpoint(bench, replace(stand.job(), steps=tuple(numbered((a_patch("ramp", "grey", Level("cd_m2", 50.0)),)))))

    told = [text for text in bench.operator.told if "not a stored response" in text]  # type: ignore[attr-defined]
    assert len(told) == 1
    assert "curves_cd_m2" in told[0]


def test_levels_the_panel_turned_out_not_to_reach_are_said_and_flagged(tmp_path: Path) -> None:
    out = a_patch("ramp", "grey", Level("cd_m2", 300.0), refine=True)
    stand = Stand(tmp_path / "harbour-desk", tuple(numbered((*RESPONSE, out))))
    bench = glow_bench()

    run_checkpoint(bench, stand.job())

    rows = of(stand.checkpoint.rows(), "ramp")
    assert {row.flags for row in rows} == {"out-of-reach"}
    assert {row.red for row in rows} == {255.0}
    assert any("300 cd/m² is out of reach" in text for text in bench.operator.told)  # type: ignore[attr-defined]


def test_a_patch_is_read_as_often_as_its_scatter_calls_for(tmp_path: Path) -> None:
    wish = Reads(5, until=0.002, max=40)
    steps = tuple(numbered(tuple(a_patch("ramp", "grey", Level("code", 128.0), reads=wish) for _ in range(3))))
    quiet, loud = Stand(tmp_path / "quiet", steps), Stand(tmp_path / "loud", steps)

    run_checkpoint(glow_bench(scatter=0.0003), quiet.job())
    run_checkpoint(glow_bench(scatter=0.006), loud.job())

    assert [row.repeat for row in quiet.checkpoint.rows()] == [1, 2, 3, 4, 5] * 3
    for number in (2, 3, 4):
        repeats = [row for row in loud.checkpoint.rows() if row.step == number]
        s = np.std([row.Y_cd_m2 for row in repeats[:5]], ddof=1) / np.mean([row.Y_cd_m2 for row in repeats[:5]])
        assert len(repeats) == min(max(5, int(np.ceil(2 * (s / 0.002) ** 2))), 40)


def test_a_patch_that_dims_while_it_stands_is_flagged_limiter(tmp_path: Path) -> None:
    steps = tuple(numbered((a_patch("ramp", "grey", Level("code", 200.0), reads=Reads(10)),)))
    stand = Stand(tmp_path / "harbour-desk", steps)
    bench = glow_bench(scatter=0.00005, panel=lambda _now, standing: 1 - 0.006 * standing / 60)

    run_checkpoint(bench, stand.job())

    flags = [row.flags for row in stand.checkpoint.rows()]
    assert flags[:4] == ["ok"] * 4
    assert flags[-1] == "limiter"
    assert any("dimmed while it stood" in text for text in bench.operator.told)  # type: ignore[attr-defined]


def test_a_steady_patch_is_not_flagged(tmp_path: Path) -> None:
    steps = tuple(numbered(tuple(a_patch("ramp", "grey", Level("code", 200.0), reads=Reads(8)) for _ in range(20))))
    stand = Stand(tmp_path / "harbour-desk", steps)

    run_checkpoint(glow_bench(scatter=0.0015), stand.job())

    assert {row.flags for row in stand.checkpoint.rows()} == {"ok"}


def test_a_stated_integration_is_rounded_to_whole_refresh_periods(tmp_path: Path) -> None:
    stand = Stand(
        tmp_path / "harbour-desk",
        tuple(numbered((a_patch("ramp", "grey", Level("code", 200.0), integration_s=0.405),))),
    )

    run_checkpoint(glow_bench(), stand.job())

    assert {row.integration_s for row in stand.checkpoint.rows()} == {25 / 60}


def test_a_window_smaller_than_the_aperture_is_left_out_and_said(tmp_path: Path) -> None:
    def window(share: float) -> Patch:
        label = f"w{100 * share:g}"
        shown = (("share", share),)
        return a_patch("loading", "grey", Level("code", 255.0), pattern="window", geometry=label, parameters=shown)

    stand = Stand(tmp_path / "harbour-desk", tuple(numbered((window(0.001), window(0.10)))))
    bench = glow_bench()

    run_checkpoint(bench, stand.job())

    assert {row.patch for row in stand.checkpoint.rows()} == {"loading/centre/grey/c255/w10"}
    said = [text for text in bench.operator.told if "left out" in text]  # type: ignore[attr-defined]
    assert len(said) == 1
    assert said[0].startswith("loading/centre/grey/c255/w0.1 is left out: The window is 11.0 mm x 6.0 mm")


def warm_steps() -> tuple[Step, ...]:
    mid = a_patch("reference", "grey", Level("code", 128.0))
    counted = a_patch("ramp", "grey", Level("code", 200.0))
    return (PutProbe(1, 1, CENTRE), WarmUp(2, 20.0, 60.0, 90.0, mid), Read(3, 1, counted), CloseLook(4))


def test_the_warm_up_ends_when_readings_show_the_panel_steady(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", warm_steps())
    bench = glow_bench(scatter=0.0002, panel=lambda now, _standing: 1 + 0.008 * np.exp(-now / 400))

    run_checkpoint(bench, stand.job())

    kept = checkpoint.load(stand.checkpoint.directory).session["warm_up"]
    assert kept["verdict"] == "settled"
    assert 20 <= kept["minutes"] <= 45
    assert abs(kept["slope_percent_per_10_min"]) + kept["half_width_percent_per_10_min"] <= 0.1
    assert len(kept["trace"]) == len(of(stand.checkpoint.rows(), "warm-up")) / 5
    assert {row.flags for row in of(stand.checkpoint.rows(), "ramp")} == {"ok"}
    assert all(row.patch.startswith("warm-up/") for row in of(stand.checkpoint.rows(), "warm-up"))


def test_a_panel_that_never_settles_is_measured_all_the_same_and_flagged(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", warm_steps())
    bench = glow_bench(scatter=0.0002, panel=lambda now, _standing: 1 - 0.004 * now / 600)

    run_checkpoint(bench, stand.job())

    kept = checkpoint.load(stand.checkpoint.directory).session["warm_up"]
    assert kept["verdict"] == "not-settled"
    assert 59 <= kept["minutes"] <= 61
    assert {row.flags for row in of(stand.checkpoint.rows(), "ramp")} == {"not-settled"}
    assert any("Not settled after 60 min" in text for text in bench.operator.told)  # type: ignore[attr-defined]


def test_a_slow_panel_is_given_its_measured_settling_time(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", warm_steps())
    bench = glow_bench(panel=lambda _now, standing: 1 - 0.05 * np.exp(-standing / 0.7))

    run_checkpoint(bench, stand.job())

    kept = checkpoint.load(stand.checkpoint.directory).session["settling"]
    # ln(50) time constants to 0.1 %: 2.74 s, seen through readings half a second apart.
    assert 2.7 <= kept["settle_s"] <= 3.6
    counted = of(stand.checkpoint.rows(), "ramp")[0]
    assert counted.settled_s >= kept["settle_s"]


REQUESTED = ("row", "visit", "step", "patch", "purpose", "red", "target_cd_m2", "level_basis", "repeat", "flags")


@pytest.mark.parametrize("cut_at", [118, *(pytest.param(at, marks=pytest.mark.slow) for at in (50, 125, 128))])
def test_a_run_cut_while_closing_in_ends_like_an_undisturbed_one(tmp_path: Path, cut_at: int) -> None:
    whole, cut = Stand(tmp_path / "whole", level_steps()), Stand(tmp_path / "cut", level_steps())
    run_checkpoint(glow_bench(), whole.job())
    with pytest.raises(PowerCutError):
        run_checkpoint(glow_bench(cut_at=cut_at), cut.job())

    resume_checkpoint(glow_bench(), cut.job())

    def requested(stand: Stand) -> list[tuple[object, ...]]:
        return [tuple(getattr(row, name) for name in REQUESTED) for row in stand.checkpoint.rows()]

    assert requested(cut) == requested(whole)
