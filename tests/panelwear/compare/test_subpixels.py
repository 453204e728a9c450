"""Channels: retention, the white they foretell, and why it moved."""

import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.colorimetry.cct import cct_duv
from panelwear.compare.change_table import change_table, verdicts_of
from panelwear.compare.differences import compare_circumstances
from panelwear.compare.subpixels import cct_sentence, sub_pixels
from panelwear.figures.circumstances import Circumstances
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.compare.panels import BLACK, NOTHING, SAME, light_of, pairing_of, read
from tests.panelwear.figures.handmade import Bench

METER = MeterTerms(session_scale=0.005, session_xy=0.0001, session_filters=0.0, placement=0.0, dark_noise_cd_m2=0.0)


def worn(kept, meter=NOTHING, **more):
    return pairing_of(read(), read(kept=kept, **more), meter)


def told(kept, meter=NOTHING):
    found = sub_pixels(worn(kept, meter), SAME, 1000.0)
    assert found is not None
    return found


def test_retentions_come_back_and_loss_is_told_per_1000_h():
    found = sub_pixels(worn((0.93, 0.92, 0.88)), SAME, 2000.0)
    assert [c.retention.value for c in found.channels] == pytest.approx([93, 92, 88])
    assert [c.loss_per_1000_h.value for c in found.channels] == pytest.approx([3.5, 4.0, 6.0])
    assert found.channels[2].relative.value == pytest.approx(100 * (0.88 / math.sqrt(0.93 * 0.92) - 1))


# x, y, Y and CCT of a BT.709 white at D65 after the channels kept these shares: columns P, solve P Y = W, then
# XYZ = P diag(Y) r (exact for three additive primaries; worked with colour-science 0.4.7).
@pytest.mark.parametrize(
    ("kept", "x", "y", "Y", "cct"),
    [
        ((0.93, 0.92, 0.88), 0.3163, 0.3337, 0.9192, 6284),
        ((1, 0.97, 0.95), 0.3162, 0.3312, None, 6305),
        ((0.95, 1, 1), 0.3092, 0.3290, None, 6697),
        ((1, 0.95, 1), 0.3130, 0.3236, None, 6533),
        ((1, 1, 0.95), None, None, None, 6296),
        ((0.95, 0.95, 0.95), 0.3127, 0.3290, 0.95, 6504),
    ],
)
def test_the_white_foretold_is_that_of_the_table(kept, x, y, Y, cct):
    found = told(kept)
    assert found.closure.predicted_cct_K == pytest.approx(cct, abs=1)
    assert found.closure.measured_cct_K == pytest.approx(cct, abs=1)
    assert found.closure.luminance.value == pytest.approx(0, abs=1e-9)
    white = light_of(kept)[3]
    if x is not None:
        assert white[:2] / white.sum() == pytest.approx([x, y], abs=1e-4)
    if Y is not None:
        assert white[1] / 300 == pytest.approx(Y, abs=1e-4)


def said(pairing):
    found = sub_pixels(pairing, SAME, 1000.0)
    return found.sentences(verdicts_of(change_table(pairing, SAME)))


def reason(kept, meter=None):
    meter = meter or METER
    return next((s for s in said(worn(kept, meter)) if s.startswith("CCT")), "")


def test_red_ageing_least_makes_cct_fall_because_blue_fades_with_it():
    said = reason((1, 0.97, 0.95))
    assert said.startswith("CCT fell by 2")
    assert "because red kept more and blue lost more than green" in said


def test_green_alone_fading_never_makes_cct_fall():
    said = reason((1, 0.95, 1))
    assert "fell" not in said
    # 6504 to 6533 K: a small rise, told only where the uncertainty is small.
    assert said.startswith("CCT rose by 28") or said.startswith("CCT rose by 29")
    assert "because green lost more than red and blue" in said


def test_red_alone_fading_makes_it_rise():
    assert "CCT rose by 19" in reason((0.95, 1, 1))
    assert "because red lost more than green and blue" in reason((0.95, 1, 1))


def test_a_loss_common_to_all_moves_nothing_and_gives_no_reason():
    assert reason((0.95, 0.95, 0.95)) == ""


def test_nothing_is_said_of_a_step_within_its_uncertainty():
    coarse = MeterTerms(session_scale=0.005, session_xy=0.002, placement=0.0, dark_noise_cd_m2=0.0)
    assert reason((1, 0.95, 1), coarse) == ""


def test_the_reason_is_withheld_where_the_arithmetic_does_not_bear_it():
    step = Estimate("cct", -100.0, "K", 10.0)
    relative = [Estimate("", v, "%", 0.1) for v in (0.0, 0.0, -2.0)]
    assert "because blue lost more than red and green" in cct_sentence(step, -95.0, relative, (0.0, 0.0, -95.0))
    # The channels foretell another step.
    assert "do not explain" in cct_sentence(step, -30.0, relative, (0.0, 0.0, -30.0))
    # The channels named do not make up half of it.
    assert "do not explain" in cct_sentence(step, -95.0, relative, (-23.0, -20.0, -40.0))
    # The channel's own step is not significant.
    unsure = [*relative[:2], Estimate("", -2.0, "%", 1.5)]
    assert "do not explain" in cct_sentence(step, -95.0, unsure, (0.0, 0.0, -95.0))
    assert cct_sentence(Estimate("cct", -15.0, "K", 10.0), -15.0, relative, (0.0, 0.0, -15.0)) == ""


def test_the_worst_channel_is_named_only_when_it_is_told_apart():
    assert told((0.97, 0.97, 0.94)).most == "blue"
    assert said(worn((0.94, 0.97, 0.97), METER))[0].startswith("Red wears most")
    noisy = pairing_of(read(noise=0.01, seed=1), read(kept=(0.998, 0.999, 0.997), noise=0.01, seed=2))
    found = sub_pixels(noisy, SAME, 1000.0)
    assert found.most == ""
    assert "cannot be told yet" in said(noisy)[0]


def test_a_white_that_the_channels_do_not_make_is_said_not_to_close():
    found = sub_pixels(pairing_of(read(), read(white_scale=0.97)), SAME, 1000.0)
    assert not found.closure.closes
    assert "do not explain" in found.sentences({})[1]


def test_a_fourth_sub_pixel_is_found_by_additivity_and_its_own_retention_given():
    # White is 1.4 times the sum when new; the fourth channel then keeps 90 %, the others everything.
    found = sub_pixels(pairing_of(read(white_scale=1.4), read(white_scale=1.36)), SAME, 1000.0)
    assert found.fourth.value == pytest.approx(90.0)
    assert any("fourth kind of sub-pixel" in s for s in found.sentences({}))
    assert told((0.97, 0.97, 0.94)).fourth is None


def test_another_setting_bars_the_channels():
    how = compare_circumstances(*(Circumstances(probe="P", answers={"brightness": b}) for b in ("80", "60")))
    assert sub_pixels(worn((0.9, 0.9, 0.9)), how, 1000.0) is None


def test_without_primaries_there_is_nothing():
    bench = Bench()
    bench.put()
    bench.read("ramp/centre/grey/c255/w10", "ramp", 300.0)
    assert sub_pixels(pairing_of(bench.table(), bench.table()), SAME, 1.0) is None


def test_the_meter_of_a_session_hides_an_absolute_loss_but_not_one_against_the_others():
    meter = MeterTerms(session_scale=0.005, session_xy=0.0, session_filters=0.0, placement=0.0, dark_noise_cd_m2=0.0)
    then, now = read(noise=0.0015, seed=3), read(kept=(1, 1, 0.97), noise=0.0015, seed=4)
    rows = {row.name: row for row in change_table(pairing_of(then, now, meter), SAME)}
    assert rows["balance"].judged.verdict == "changed"
    assert rows["blue.relative"].judged.verdict == "changed"
    found = sub_pixels(pairing_of(then, now, meter), SAME, 1000.0)
    assert found.channels[2].retention.u > 0.68
    assert found.channels[2].relative.u < 0.2


def test_hand_worked_cct_of_the_demo_white():
    # x = 0.3163, y = 0.3337: 6284 K, Duv +0.0038.
    cct, duv = cct_duv(XYZ_of_xyY(0.3163, 0.3337, 1.0))
    assert cct == pytest.approx(6284, abs=3)
    assert duv == pytest.approx(0.0038, abs=1e-4)
    assert np.isfinite(cct)


def test_between_two_probes_the_filters_are_in_doubt_and_no_white_is_foretold():
    how = compare_circumstances(Circumstances(probe="P"), Circumstances(probe="Q"))
    found = sub_pixels(worn((1, 1, 0.97)), how, 1000.0)
    # 2 % on each channel at each checkpoint: sqrt(2) x 2 % x sqrt(1 + 1/4 + 1/4).
    assert found.channels[2].relative.u == pytest.approx(0.97 * 2 * 2**0.5 * 1.5**0.5, rel=0.01)
    assert found.most == ""
    assert found.closure is None
    rows = {r.name: r for r in change_table(worn((1, 1, 0.97)), how)}
    assert rows["balance"].judged.verdict == "undecided"
    assert rows["additivity"].change.step.u > 2.8


def test_left_against_right_is_tested_at_one_level_only():
    bench = Bench()
    bench.put()
    for code in (64, 100, 255):
        for place in ("x100y500", "centre", "x900y500"):
            bench.read(f"grid/{place}/grey/c{code}/full", "grid", 300 * (code / 255) ** 2.2)
    names = [r.name for r in change_table(pairing_of(bench.table(), bench.table()), SAME)]
    assert [n for n in names if n.startswith("uniformity")] == ["uniformity/grey/c100.left_right"]


def test_no_sentence_goes_beyond_the_change_table():
    found = sub_pixels(worn((1, 0.97, 0.95), METER), SAME, 1000.0)
    assert found.most == "blue"
    assert found.reason.startswith("CCT fell")
    both = found.sentences({"balance": "changed", "white.cct": "changed"})
    assert both[0].startswith("Blue wears most")
    assert both[-1] == found.reason
    for verdict in ("undecided", "no change larger than"):
        neither = found.sentences({"balance": verdict, "white.cct": verdict})
        assert neither[0].startswith("Which channel wears most cannot be told yet")
        assert not any(s.startswith("CCT") for s in neither)


def test_reflected_light_at_the_second_checkpoint_is_no_change_of_the_panel_and_no_channel_wears():
    false, worst = 0, []
    for seed in range(12):
        before = read(seed=2 * seed + 1, noise=0.001)
        after = read(seed=2 * seed + 2, noise=0.001, black=BLACK + 0.5)
        pairing = pairing_of(before, after, METER)
        rows = change_table(pairing, SAME)
        verdicts = verdicts_of(rows)
        false += verdicts["balance"] == "changed"
        found = sub_pixels(pairing, SAME, 1000.0)
        worst += [c.relative.value for c in found.channels]
        assert not any("wears most:" in sentence for sentence in found.sentences(verdicts))
    assert false <= 1
    assert np.mean(np.abs(worst)) < 0.2


def test_a_room_seen_by_the_switched_off_screen_alone_is_taken_off_too():
    def off(black):
        table = read(black=black)
        return replace(table, purpose=np.where(table.purpose == "black", "screen-off", table.purpose))

    found = sub_pixels(pairing_of(off(BLACK), off(BLACK + 0.5)), SAME, 1000.0)
    assert [c.retention.value for c in found.channels] == pytest.approx([100, 100, 100])


def test_no_channel_wears_whose_own_loss_is_not_shown():
    # All three gained light, blue the least: nothing wore.
    found = told((1.06, 1.06, 1.02))
    assert found.most == ""
    assert "cannot be told" in found.sentences({"balance": "changed"})[0]
