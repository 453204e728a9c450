"""Evenings of a stable light: the probe's terms, in words, and in every verdict."""

import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.change_table import change_table
from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison_tables import tables_of
from panelwear.compare.white_step import white_step
from panelwear.figures.evenings import comparable, evenings_wanted, in_words, stability_of, step_known_to
from panelwear.folder.stability import StabilityBlock, measured_terms
from panelwear.readings.stability import StabilityReading
from panelwear.uncertainty.meter import ASSUMED, MeterTerms
from tests.panelwear.compare.panels import SAME, pairing_of, read, subject
from tests.panelwear.telling.unbroken import lines

ASSUMED_TERMS = {"session_scale": 0.005, "session_xy": 0.00025, "session_filters": 0.002}


def evenings(scale=0.003, filters=0.001, k=5, n=20, noise=0.001, seed=1, **more):
    rng = np.random.default_rng(seed)
    rows = []
    for evening in range(1, k + 1):
        gain = (1 + scale * rng.standard_normal()) * (1 + filters * rng.standard_normal(3) * [1, 0, 1])
        for repeat in range(1, n + 1):
            XYZ = np.array([95.0, 100.0, 109.0]) * gain * (1 + noise * rng.standard_normal())
            rows.append(
                StabilityReading(
                    len(rows) + 1, evening, f"2026-03-{evening:02d}T20:00:00Z", "lamp", "0042", repeat,
                    *map(float, XYZ), 0.5, "ok",
                )
            )  # fmt: skip
    return [replace(row, **more) for row in rows]


def test_the_terms_of_many_evenings_are_those_that_were_put_in():
    found = stability_of(evenings(k=400, n=5))
    assert found.value("session_scale") == pytest.approx(0.003, rel=0.1)
    assert found.value("session_filters") == pytest.approx(0.001, rel=0.12)
    # x = X / (X + Y + Z): dx = x (1 - x) dlnX - x z dlnZ.
    x, z = 95 / 304, 109 / 304
    assert found.value("session_xy") == pytest.approx(0.001 * math.hypot(x * (1 - x), x * z), rel=0.12)
    assert found.dof == 399


def test_one_evening_tells_nothing_and_a_luminance_meter_nothing_of_colour():
    assert stability_of(evenings(k=1)) is None
    found = stability_of(evenings(X_cd_m2=None, Z_cd_m2=None))
    assert [term.name for term in found.terms] == ["session_scale"]


def test_evenings_that_do_not_differ_keep_what_was_assumed():
    rows = [replace(row, evening=1 + row.row % 2) for row in evenings(scale=0.0, filters=0.0, k=1, n=40)]
    found = stability_of(rows)
    assert found.value("session_scale") is None
    said = "\n".join(in_words(found, ASSUMED_TERMS))
    assert "so 0.5 % is kept as assumed" in said


def test_two_evenings_say_how_little_that_is_and_how_many_more_would_help():
    found = stability_of(evenings(k=2))
    said = "\n".join(in_words(found, ASSUMED_TERMS))
    assert "1 degree of freedom" in said
    assert "7 more would bring the upper limits under twice the values" in said
    # Student's t for 1 and 4 degrees of freedom (NIST e-Handbook, 1.3.6.7.2).
    assert step_known_to(1.0, 2) == pytest.approx(12.71 * math.sqrt(2), rel=1e-3)
    assert step_known_to(1.0, 5) == pytest.approx(2.776 * math.sqrt(2), rel=1e-3)
    assert evenings_wanted(9) == 0


def test_only_one_light_by_one_probe_compares():
    rows = evenings(k=2)
    mixed = [
        *rows,
        replace(rows[0], light="panel"),
        replace(rows[0], probe="0099"),
        replace(rows[0], Y_cd_m2=None),
        replace(rows[0], flags="disturbed"),
    ]
    assert comparable(mixed, "lamp", "0042") == rows


BLOCK = StabilityBlock("2026-03-05", 3, "lamp", "0042", 0.002, 0.0001, 0.0005, 2.0)


def test_what_was_measured_stands_for_what_was_assumed_of_this_probe_only():
    terms = measured_terms(MeterTerms(), [replace(BLOCK, session_scale=0.5), BLOCK], "0042")
    assert (terms.session_scale, terms.session_scale_dof) == (0.002, 2.0)
    assert measured_terms(MeterTerms(), [BLOCK], "0099") == MeterTerms()
    kept = measured_terms(MeterTerms(), [replace(BLOCK, session_xy=None)], "0042")
    assert (kept.session_xy, kept.session_xy_dof) == (MeterTerms().session_xy, 0.0)


@pytest.mark.parametrize("evenings_read", [2, 3, 5])
def test_a_verdict_on_luminance_has_the_degrees_of_freedom_of_the_evenings(evenings_read):
    meter = MeterTerms(session_scale=0.005, session_xy=0.0, session_filters=0.0, placement=0.0, dark_noise_cd_m2=0.0)
    measured = replace(meter, session_scale_dof=float(evenings_read - 1))
    then, now = read(), read(scale=0.98)

    def white(terms):
        pairing = pairing_of(then, now, SAME.meter(terms))
        return next(row for row in change_table(pairing, SAME) if row.name == "white.Y")

    step = white(measured).change.step
    # Both sides share one estimate: k - 1 in all, not 2 (k - 1).
    assert step.dof == pytest.approx(evenings_read - 1, rel=1e-3)
    assert step.u == pytest.approx(white(meter).change.step.u)
    assert math.isinf(white(meter).change.step.dof)
    (scale,) = [c for c in step.components if c.name == "session scale"]
    assert (scale.kind, scale.note) == ("A", "")
    (before,) = [c for c in white(meter).change.step.components if c.name == "session scale"]
    assert (before.kind, before.note) == ("B", ASSUMED)


def test_filters_that_wander_between_sessions_are_in_the_balance_and_not_inside_a_session():
    quiet = MeterTerms(session_scale=0.0, session_xy=0.0, session_filters=0.0, placement=0.0, dark_noise_cd_m2=0.0)
    wandering = replace(quiet, session_filters=0.002)
    then, now = read(zones={"list": 0.0}, noise=0.0005, seed=3), read(zones={"list": 0.0}, noise=0.0005, seed=4)

    def u(terms, name):
        rows = change_table(pairing_of(then, now, terms), SAME)
        return next(row.change.step.u for row in rows if row.name == name)

    # One channel against the mean of two others, at two sessions: 0.2 % sqrt(2) sqrt(1 + 1/2).
    added = math.sqrt(u(wandering, "blue.relative") ** 2 - u(quiet, "blue.relative") ** 2)
    assert added == pytest.approx(0.2 * math.sqrt(3), rel=0.02)
    assert u(wandering, "zone/list") == pytest.approx(u(quiet, "zone/list"), rel=1e-6)
    assert u(wandering, "white.Y") == pytest.approx(u(quiet, "white.Y"), rel=1e-6)
    assert u(wandering, "white.uv_prime") > 2 * u(quiet, "white.uv_prime")
    # Where x and y were measured to wander, that holds what X and Z do.
    held = replace(wandering, session_xy_dof=4.0, session_filters_dof=4.0)
    own = {terms: white_step(pairing_of(then, now, terms), SAME).direct_K for terms in (quiet, wandering, held)}
    assert own[held].u == pytest.approx(own[quiet].u, rel=1e-6)
    assert own[wandering].u > 2 * own[quiet].u
    # Only the channels put filters into the step that both make together, and only as far as that makes it surer.
    together = white_step(pairing_of(then, now, held), SAME).together_K
    assert "session filters" in {c.name for c in together.components}
    assert together.u < own[held].u


def test_what_nobody_measured_is_said():
    assert f"{ASSUMED} (its scale 0.5 %, its x and y 0.00025, its filters 0.2 %)" in MeterTerms().assumed()
    assert BLOCK.on(MeterTerms()).assumed() == ""
    for meter, told in ((MeterTerms(), True), (BLOCK.on(MeterTerms()), False)):
        both = [subject(read(), f"no {i}", 900.0 * i, meter) for i in (0, 1)]
        found = comparison_of(both, panel="demo")
        assert any(ASSUMED in line for line in lines(found)) == told
        assert any(ASSUMED in str(row) for row in tables_of(found)["remarks"].rows) == told
