"""Reading the X server's outputs, and proving pixels."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.commands.screens import table
from panelwear.screen.grab import read_ppm
from panelwear.screen.monitors import Monitor, number_monitors, read_outputs
from panelwear.screen.prove import check_page, compare
from panelwear.telling.layout import text_of

LISTED = """Screen 0: minimum 64 x 64, current 4480 x 1440, maximum 32767 x 32767
left connected 1920x1080+0+180 (normal left inverted right x axis y axis) 598mm x 336mm
   1920x1080     60.00*+  50.00
   1280x720      60.00
main connected primary 2560x1440+1920+0 (normal left inverted right x axis y axis) 0mm x 0mm
   2560x1440     59.96*+
turned connected 1080x1920+4480+0 left (normal left inverted right x axis y axis) 0mm x 0mm
   1920x1080     60.00*+
off disconnected (normal left inverted right x axis y axis)
"""


def test_outputs_come_with_the_primary_one_first() -> None:
    outputs = read_outputs(LISTED)
    assert [o.name for o in outputs] == ["main", "left", "turned"]
    assert outputs[0].position_px == (1920, 0)
    assert not any(o.scaled for o in outputs)


def test_the_size_is_taken_from_the_monitor_itself_unless_it_is_a_ratio() -> None:
    assert [o.size_mm for o in read_outputs(LISTED)] == [None, (598.0, 336.0), None]
    assert read_outputs(LISTED.replace("598mm x 336mm", "160mm x 90mm"))[1].size_mm is None
    monitors = number_monitors([(2560, 1440), (1920, 1080), (1080, 1920)], read_outputs(LISTED), [False] * 3)
    assert [m.size_mm for m in monitors] == [None, (598.0, 336.0), None]


def test_an_output_the_server_resamples_is_scaled() -> None:
    zoomed = LISTED.replace("1920x1080+0+180", "2400x1350+0+180")
    assert [o.name for o in read_outputs(zoomed) if o.scaled] == ["left"]


def test_monitors_take_names_only_where_the_sizes_agree() -> None:
    outputs = read_outputs(LISTED)
    sizes = [(2560, 1440), (1920, 1080), (1080, 1920)]
    named = number_monitors(sizes, outputs, [False] * 3)
    assert [(m.number, m.name, m.position_px) for m in named][:2] == [(0, "main", (1920, 0)), (1, "left", (0, 180))]
    unnamed = number_monitors(sizes[::-1], outputs, [False] * 3)
    assert [(m.name, m.position_px) for m in unnamed] == [("", None)] * 3


def test_the_table_says_what_is_not_known() -> None:
    text = text_of([table([Monitor(0, 1920, 1080, "main", (0, 0)), Monitor(1, 2560, 1440, scaled=True)])], 80)
    assert text.splitlines()[2] == "     0  main                    1920 x 1080  0, 0"
    assert "not told by the system" in text
    assert "scaled by the desktop" in text


def test_one_wrong_pixel_is_found() -> None:
    wanted = np.zeros((20, 30, 3), np.uint8)
    found = wanted.copy()
    assert compare(wanted, found).exact
    found[7, 11, 1] = 3
    result = compare(wanted, found)
    assert (result.exact, result.different_px, result.largest_step, result.first_at) == (False, 1, 3, (11, 7))
    assert "1 of 600 pixels differ, by up to 3 drive levels, the first at x 11, y 7" in result.sentence()


def test_a_grab_of_another_size_is_never_exact() -> None:
    assert not compare(np.zeros((20, 30, 3), np.uint8), np.zeros((20, 29, 3), np.uint8)).exact


def test_a_ppm_is_read_or_refused() -> None:
    assert read_ppm(b"P6\n2 1\n255\n" + bytes(range(6))).tolist() == [[[0, 1, 2], [3, 4, 5]]]
    for bad in (b"", b"P6\n2 1\n255\n12345", b"P5\n2 1\n255\n123456", b"P6\n2 1\n65535\n123456"):
        with pytest.raises(ValueError, match="grab"):
            read_ppm(bad)


def test_the_check_page_has_single_pixels_and_both_ends_of_the_range() -> None:
    picture = check_page(640, 360).pixels
    assert picture is not None
    assert picture.shape == (360, 640, 3)
    row = picture[120, 30:90, 0]
    assert set(row[::2].tolist()) == {0}
    assert set(row[1::2].tolist()) == {128}
    codes = set(np.unique(picture[360 * 11 // 16 :]).tolist())
    assert set(range(17)) <= codes
    assert set(range(239, 256)) <= codes


def test_the_flat_twin_has_the_mean_light_of_the_fine_bands() -> None:
    picture = check_page(600, 360).pixels
    assert picture is not None
    light = (picture[72:200, :, 0] / 255.0) ** 2.2
    patches = [light[:, 120 * n + 24 : 120 * n + 96].mean() for n in range(5)]
    flat = light[:, 118:122].mean()
    assert patches == pytest.approx([flat] * 5, rel=0.01)
