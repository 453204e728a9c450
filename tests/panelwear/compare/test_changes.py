"""Changes with what cancels and what stays."""

import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.changes import (
    COMMON,
    NOTHING_COMMON,
    added,
    between,
    joint,
    step_between,
)
from panelwear.compare.zone_steps import zone_steps
from panelwear.figures.jointly import JointFigures, Movement, gathered, jointly
from panelwear.uncertainty.causes import Source
from panelwear.uncertainty.estimate import Component, combine
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.compare.panels import NOTHING, light_of, pairing_of, read
from tests.references import value
from tests.references.formulas import normalised_error, sticking


def estimate(v, *parts, unit="cd/m²"):
    return combine("L", v, unit, tuple(Component(*p) for p in parts))


def test_a_ratio_keeps_both_repeatabilities_and_the_drift_of_the_meter_while_the_calibration_cancels():
    # RATIO-U: u² = u_r1² + u_r0² + u_drift²; the meter's wander between the checkpoints is split over both here.
    record = value("RATIO-U")
    r1, r0, drift = (record["inputs"][k] for k in ("u_r1", "u_r0", "u_drift"))
    half = drift / math.sqrt(2)
    then = estimate(100.0, ("repeatability", 100 * r0), ("session scale", 100 * half), ("calibration scale", 2.0))
    now = estimate(95.8, ("repeatability", 95.8 * r1), ("session scale", 95.8 * half), ("calibration scale", 1.916))
    change = between(then, now, "ratio")
    assert change.step.value == pytest.approx(-4.2)
    assert change.step.u / 95.8 == pytest.approx(record["expected"], abs=record["tolerance"] + 1e-9)
    assert change.cancelled == ("calibration scale",)
    # EN-01 takes the same change and the same uncertainty.
    en = value("EN-01")
    assert normalised_error(en["inputs"]["D"], change.step.u / 95.8) == pytest.approx(en["expected"], abs=1e-4)


def test_with_another_probe_the_calibration_stays():
    then, now = (estimate(100.0, ("calibration scale", 2.0)) for _ in range(2))
    assert between(then, now, "ratio").step.u == 0
    assert between(then, now, "ratio", NOTHING_COMMON).step.u == pytest.approx(2 * math.sqrt(2))


def test_degrees_of_freedom_follow_welch_and_satterthwaite():
    record = value("GUM-H1-VEFF2")
    us, dofs = record["inputs"]["u_i"], record["inputs"]["nu_i"]
    parts = [(f"part {i}", u, dof) for i, (u, dof) in enumerate(zip(us, dofs, strict=True))]
    change = between(estimate(0.0, *parts[:2], unit="nm"), estimate(9.0, *parts[2:], unit="nm"), "difference")
    assert change.step.u == pytest.approx(value("GUM-H1-UC")["expected"], abs=1e-3)
    assert change.step.dof == pytest.approx(record["expected"], abs=record["tolerance"])


def test_the_same_component_of_both_sides_counts_twice_with_both_degrees_of_freedom():
    change = between(estimate(1.0, ("repeatability", 0.3, 4)), estimate(1.0, ("repeatability", 0.3, 4)), "difference")
    assert change.step.u == pytest.approx(0.3 * math.sqrt(2))
    assert change.step.dof == pytest.approx(8)


def test_a_ratio_of_nothing_is_no_number_and_says_why():
    change = between(estimate(0.0), estimate(1.0), "ratio")
    assert math.isnan(change.step.value)
    assert "above zero" in change.step.note


def test_doubts_can_be_added():
    change = between(estimate(1.0, ("repeatability", 3.0)), estimate(2.0), "difference")
    assert added(change, [Component("another probe", 4.0)]).step.u == pytest.approx(5.0)


SCALE = replace(NOTHING, session_scale=0.01, calibration_scale=0.03, linearity_per_decade=0.004)


def logs(XYZ):
    return 100 * np.log(XYZ[:, :, 1])


def centre(pairing, hue):
    return [[next(m for m in s.means if m.key == f"primary/centre/{hue}/c255/w10")] for s in
            (pairing.before, pairing.after)]  # fmt: skip


def test_absolute_luminance_keeps_the_session_scale_of_both_sides_and_loses_the_calibration():
    pairing = pairing_of(read(black=0.0), read(kept=(0.95, 1, 1), black=0.0), SCALE)
    then, now = centre(pairing, "red")
    sides = jointly(pairing.before, then, logs), jointly(pairing.after, now, logs)
    step = step_between(sides[0], sides[1])
    assert step.values[0] == pytest.approx(100 * math.log(0.95))
    # sqrt(2) x 1 %; the linearity cancels but for log10(0.95) of a decade.
    assert step.estimate(0, "", "%").u == pytest.approx(math.sqrt(2), rel=1e-4)
    assert set(step.cancelled) == {"calibration scale", "linearity"}
    assert step_between(sides[0], sides[1], NOTHING_COMMON).estimate(0, "", "%").u > 4


def test_channels_against_each_other_lose_the_session_scale_too():
    pairing = pairing_of(read(black=0.0), read(kept=(0.95, 1, 1), black=0.0), replace(SCALE, linearity_per_decade=0.0))
    means = [[next(m for m in s.means if f"/{hue}/c255" in m.key and m.group == "primary") for hue in
              ("red", "green")] for s in (pairing.before, pairing.after)]  # fmt: skip

    def ratio(XYZ):
        return 100 * np.log(XYZ[:, 0, 1] / XYZ[:, 1, 1])[:, None]

    step = step_between(jointly(pairing.before, means[0], ratio), jointly(pairing.after, means[1], ratio))
    assert step.values[0] == pytest.approx(100 * math.log(0.95))
    assert step.estimate(0, "", "%").u < 1e-6


def test_the_normalised_contrast_is_the_sticking_value_of_the_standard_with_the_other_sign():
    # IS-01: 1 - (Ls1/Ls0)/(Lr1/Lr0); the zone lost more, so its contrast is negative.
    record = value("IS-01")
    i = record["inputs"]
    then, now = (read(zones={"list": i[f"Ls{t}"] / i[f"Lr{t}"] - 1}) for t in (0, 1))
    change = zone_steps(pairing_of(then, now, SCALE))["list"].mean_change()
    assert -change.step.value / 100 == pytest.approx(record["expected"], abs=1e-9)
    assert -change.step.value / 100 == pytest.approx(sticking(i["Ls0"], i["Ls1"], i["Lr0"], i["Lr1"]))
    # Nothing of the meter's scale is left in a zone against its reference.
    assert change.step.u < 0.02


def test_a_joint_function_of_both_sides_cancels_what_is_common_as_well():
    pairing = pairing_of(read(black=0.0), read(kept=(0.95, 1, 1), black=0.0), replace(SCALE, session_scale=0.0))
    then, now = centre(pairing, "red")

    def kept(XYZ):
        return 100 * np.log(XYZ[:, 1, 1] / XYZ[:, 0, 1])[:, None]

    step = joint(((pairing.before, then), (pairing.after, now)), kept)
    assert step is not None
    assert step.values[0] == pytest.approx(100 * math.log(0.95))
    assert step.estimate(0, "", "%").u < 0.01
    apart = joint(((pairing.before, then), (pairing.after, now)), kept, NOTHING_COMMON)
    assert apart is not None
    assert apart.estimate(0, "", "%").u > 4


def test_the_covariance_of_two_results_is_kept():
    meter = MeterTerms(session_scale=0.0, session_xy=0.001, placement=0.0, dark_noise_cd_m2=0.0)
    pairing = pairing_of(read(), read(), meter)
    then, now = centre(pairing, "grey")
    sides = [jointly(s, m, lambda XYZ: XYZ[:, 0, ::2]) for s, m in ((pairing.before, then), (pairing.after, now))]
    step = step_between(sides[0], sides[1], COMMON)
    by_hand = step.times(np.array([[1.0, 1.0]])).covariance[0, 0]
    C = step.covariance
    assert by_hand == pytest.approx(C[0, 0] + C[1, 1] + 2 * C[0, 1])
    assert C[0, 1] != 0
    assert light_of()[3][1] == pytest.approx(300)


def test_sources_of_one_name_are_matched_one_by_one_and_none_is_lost():
    def side(*parts):
        moved = tuple(Movement(Source(name, np.zeros((1, 3, 1))), np.array([[u]])) for name, u in parts)
        return JointFigures(np.zeros(1), *gathered(moved, 1))

    step = step_between(
        side(("linearity", 3.0), ("linearity", 4.0), ("repeatability", 1.0)), side(("linearity", 3.0), ("drift", 2.0))
    )
    # 3 against 3 cancels; 4, 1 and 2 stay.
    assert step.covariance[0, 0] == pytest.approx(4.0**2 + 1.0**2 + 2.0**2)
    assert step.cancelled == ("linearity",)


def test_what_does_not_move_a_result_is_not_said_to_have_cancelled():
    def side(scale):
        moved = [Movement(Source("calibration scale", np.zeros((1, 3, 1))), np.array([[scale]]))]
        moved.append(Movement(Source("drift", np.zeros((1, 3, 1))), np.array([[1.0]])))
        return JointFigures(np.zeros(1), *gathered(moved, 1))

    # Crumbs of a numerical derivative, as of a scale in u' and v', are alike by chance or not at all.
    assert step_between(side(3e-12), side(3.1e-12)).cancelled == ()
    assert step_between(side(0.5), side(0.51)).cancelled == ("calibration scale",)
