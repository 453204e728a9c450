"""Which maps pair, and why others do not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.camera.shots import Shot
from panelwear.camera.synthetic import GREY, marked_for_showing, synthetic_map
from panelwear.camera.wear.pairing import as_it_stands, field_words, pair_maps

PX = (1280, 720)
ONE = synthetic_map(panel_px=PX)


@pytest.mark.parametrize(
    ("other", "why"),
    [
        (replace(ONE, shot=replace(GREY, codes=(102.0,) * 3)), "grey-20cd: other drive levels, 96, 96, 96 then"),
        (
            synthetic_map(panel_px=(1920, 1080)),
            "grey-20cd: other panel size, 1280 x 720 px then and 1920 x 1080 px now",
        ),
        (replace(ONE, shading="same-set-up"), "grey-20cd: the lens's fall-off was taken out of one map only"),
        (
            replace(ONE, shot=Shot("red-c180", "field", (180.0, 0.0, 0.0))),
            "red-c180: was not photographed at the earlier",
        ),
    ],
)
def test_what_does_not_pair_says_why(other, why):
    found = pair_maps([ONE], [other])
    assert found.changes == ()
    assert found.not_paired[0].startswith(why)


def test_a_wanted_luminance_pairs_where_it_took_a_little_more_drive_and_a_drive_level_does_not():
    later = replace(ONE, shot=replace(GREY, codes=(97.5,) * 3))
    assert len(pair_maps([ONE], [later]).changes) == 1
    by_level = replace(GREY, target_cd_m2=None)
    found = pair_maps([replace(ONE, shot=by_level)], [replace(later, shot=replace(by_level, codes=(97.5,) * 3))])
    assert found.not_paired == ("grey-20cd: other drive levels, 96, 96, 96 then and 97.5, 97.5, 97.5 now",)


def test_maps_of_one_set_up_pair_only_where_it_is_the_same():
    first = replace(ONE, shading="same-set-up")
    assert len(pair_maps([first], [first]).changes) == 1
    moved = replace(first, set_up="invented camera, 35 mm, f/8")
    assert "other set-up, 'invented camera, 50 mm, f/8' then" in pair_maps([first], [moved]).not_paired[0]
    # Each map stands for itself where the lens was taken out of it, whatever it was taken with.
    assert len(pair_maps([ONE], [replace(ONE, set_up="another")]).changes) == 1
    assert as_it_stands(first) is None and as_it_stands(ONE) is not None


def test_a_field_of_two_channels_is_no_grey():
    cyan = Shot("cyan-c180", "field", (0.0, 180.0, 180.0))
    assert field_words(cyan) == "cyan, drive level 180"
    assert field_words(GREY) == "grey 20 cd/m²"


def test_other_poses_are_not_compared_and_a_jpeg_stays_marked():
    turned = replace(ONE, shot=replace(GREY, name="grey-20cd-pose2", pose=2))
    assert pair_maps([ONE, turned], [ONE, turned]).changes[0].shot == GREY
    assert len(pair_maps([ONE, turned], [ONE, turned]).changes) == 1
    assert pair_maps([marked_for_showing(ONE)], [ONE]).changes[0].for_showing


def test_the_later_is_divided_by_the_earlier_with_both_uncertainties():
    light = np.full(ONE.light.shape, 0.5, np.float32)
    usable = ONE.usable.copy()
    usable[3, 4] = False
    then = replace(ONE, light=light, u_light=np.full(light.shape, 0.005, np.float32), usable=usable, u_slow=0.003)
    now = replace(then, light=(light * 1.02).astype(np.float32), usable=ONE.usable, u_slow=0.004)
    one = pair_maps([then], [now]).changes[0]
    assert np.isnan(one.change[3, 4]) and not one.usable[3, 4]
    assert one.change[9, 9] == pytest.approx(0.02, rel=1e-4)
    assert one.u[9, 9] == pytest.approx(1.02 * np.hypot(0.01, 0.005 / 0.51), rel=1e-4)
    assert one.u_slow == pytest.approx(0.005)
