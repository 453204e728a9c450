"""Time and light dose, against worked examples."""

from __future__ import annotations

import math

import pytest

from sequences.estimate import DARK_READING_S, FADE_S, LINK_S, READING_S, expected_reads, mean_code, plan
from sequences.expand import expand
from sequences.model import Level, PanelFacts, WarmUp
from sequences.nominal import code_of, luminance_cd_m2, share_of_white
from sequences.reader import load, parse
from tests.sequences.panels import harbour_desk

HEAD = 'name = "x"\ndescription = "d"\n'
PANEL = PanelFacts(1280, 720, (596.0, 335.0), peak_cd_m2=250.0)


def held(seconds: float, group: str) -> str:
    return f'{HEAD}[[steps]]\nkind = "hold"\nslate = false\nseconds = {seconds}\n[[steps.patches]]\n{group}\n'


def read(group: str) -> str:
    return f'{HEAD}[[steps]]\nkind = "read"\n[[steps.patches]]\n{group}\n'


@pytest.mark.parametrize(
    ("peak_cd_m2", "minutes", "hours_of_120"),
    [
        (250, 30, 0.5 * (250 / 120) ** 1.7),  # worked: "30 min at 250 cd/m² equals 1.7 h of 120 cd/m² use (n = 1.7)"
        (120, 60, 1.0),  # by definition
        (1000, 10, 4.19 * (150 / 120) ** 1.7),  # worked: 10 min at 1000 against 150 cd/m² is 4.19 h; here against 120
    ],
)
def test_light_dose_of_a_white_field(peak_cd_m2: float, minutes: float, hours_of_120: float) -> None:
    """Check against (1/6)(6.667)^1.7 = 4.19 h and its like; the exponent is common practice, no source."""
    panel = PanelFacts(1280, 720, (596.0, 335.0), peak_cd_m2=peak_cd_m2)
    planned = plan(expand(parse(held(minutes * 60, 'group = "field"\ncodes = [255]')), panel, 1), panel)
    assert planned.dose_h == pytest.approx(hours_of_120, rel=2e-3)
    assert planned.dose_centre_h == planned.dose_h


def test_the_worked_example_of_thirty_minutes_at_250() -> None:
    planned = plan(expand(parse(held(1800, 'group = "field"\ncodes = [255]')), PANEL, 1), PANEL)
    assert planned.dose_h == pytest.approx(1.7, abs=0.05)


def test_a_window_counts_by_its_area_but_wholly_at_the_centre() -> None:
    whole, window = (
        plan(expand(parse(held(1800, f'group = "window"\nshare = {share}\ncodes = [255]')), PANEL, 1), PANEL)
        for share in (1, 0.1)
    )
    assert window.dose_h == pytest.approx(0.1 * whole.dose_h, rel=1e-9)
    assert window.dose_centre_h == pytest.approx(whole.dose_h, rel=1e-9)


def test_a_blue_field_wears_the_blue_channel_as_white_does() -> None:
    white, blue = (
        plan(expand(parse(held(600, f'group = "field"\nhues = ["{hue}"]\ncodes = [200]')), PANEL, 1), PANEL)
        for hue in ("grey", "blue")
    )
    assert blue.dose_h == pytest.approx(white.dose_h, rel=1e-9)


def test_the_surround_that_holds_the_mean_is_counted() -> None:
    text = 'group = "window"\nshare = 0.1\ncodes = [255]\nsurround_mean_code = 200'
    planned = plan(expand(parse(held(600, text)), PANEL, 1), PANEL)
    field = plan(expand(parse(held(600, 'group = "field"\ncodes = [200]')), PANEL, 1), PANEL)
    assert planned.dose_h == pytest.approx(field.dose_h, rel=1e-9)
    assert planned.dose_centre_h > planned.dose_h


def test_minutes_are_the_sum_of_fades_settling_and_readings() -> None:
    text = read('group = "field"\ncodes = [255]\nsettle_s = 2\nreads = 4')
    planned = plan(expand(parse(text), PANEL, 1), PANEL)
    assert planned.minutes * 60 == pytest.approx(FADE_S + 2 + 4 * (READING_S + LINK_S))
    dark = plan(expand(parse(read('group = "field"\ncodes = [0]\nsettle_s = 2\nreads = 4')), PANEL, 1), PANEL)
    assert dark.minutes * 60 == pytest.approx(FADE_S + 2 + 4 * (DARK_READING_S + LINK_S))


def test_a_stated_integration_time_is_used() -> None:
    text = read('group = "field"\ncodes = [255]\nsettle_s = 0\nreads = 1\nintegration_s = 10')
    assert plan(expand(parse(text), PANEL, 1), PANEL).minutes * 60 == pytest.approx(FADE_S + 10 + LINK_S)


@pytest.mark.parametrize(
    ("level", "until", "until_cd_m2", "reads"),
    [
        (100.0, 0.002, None, 5),  # noise 0.15 %: ceil(2 * 0.75²) = 2, so the first stage
        (100.0, 0.0005, None, 19),  # ceil(2 * (0.0015003 / 0.0005)²) = 19
        (0.1, 0.002, None, 40),  # noise 3 %: 450 wanted, the maximum given
        (0.1, 0.002, 0.003, 5),  # 0.003 cd/m² is enough there
    ],
)
def test_expected_reads_follow_the_two_stage_rule(
    level: float, until: float, until_cd_m2: float | None, reads: int
) -> None:
    """N = max(5, ceil(2 (s / until)²)) with the nominal probe's noise."""
    floor = f", until_cd_m2 = {until_cd_m2}" if until_cd_m2 else ""
    text = read(f'group = "field"\ncd_m2 = [{level}]\nreads = {{ until = {until}{floor} }}')
    steps = expand(parse(text), PANEL, 1)
    patch = steps[1].patch  # type: ignore[union-attr]
    assert patch is not None
    assert expected_reads(patch, PANEL) == reads


def test_mean_code_has_the_mean_light_of_two_equally_long_fields() -> None:
    text = held(100, 'group = "field"\ncodes = [40, 180]')
    steps = expand(parse(text), PANEL, 1)
    wanted = 255 * (((40 / 255) ** 2.2 + (180 / 255) ** 2.2) / 2) ** (1 / 2.2)
    assert mean_code(steps, PANEL) == round(wanted)


def test_warm_up_shows_the_grey_of_the_sequences_mean_light() -> None:
    steps = expand(load("checkpoint"), harbour_desk(), 1)
    warm_up = next(step for step in steps if isinstance(step, WarmUp))
    assert warm_up.mean_code == mean_code(steps, harbour_desk())
    assert 16 <= warm_up.mean_code <= 160


def test_mean_code_is_neither_dark_nor_glaring() -> None:
    assert mean_code(expand(parse(held(9, 'group = "field"\ncodes = [0]')), PANEL, 1), PANEL) == 16
    assert mean_code(expand(parse(held(9, 'group = "field"\ncodes = [255]')), PANEL, 1), PANEL) == 160


def test_nominal_levels_go_there_and_back() -> None:
    for level in (Level("cd_m2", 50.0), Level("share_of_peak", 0.2)):
        code = code_of(level, "grey", PANEL)
        assert luminance_cd_m2(Level("code", code), "grey", PANEL) == pytest.approx(50.0)
    assert code_of(Level("jnd", 1.0, 18), "grey", PANEL) < 10
    assert code_of(Level("jnd", 18.0, 18), "grey", PANEL) == pytest.approx(255)
    assert code_of(Level("cd_m2", 1e4), "grey", PANEL) == 255


def test_hues_share_the_luminance_of_white() -> None:
    """Rec. ITU-R BT.709-6, item 3.2: 0.2126, 0.7152, 0.0722."""
    assert share_of_white("grey") == pytest.approx(1.0)
    assert math.isclose(share_of_white("yellow") + share_of_white("blue"), 1.0)
    assert share_of_white("green") == 0.7152
