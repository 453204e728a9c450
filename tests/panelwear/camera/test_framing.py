"""A camera that was put back elsewhere: what of its lens's fall-off stays in the ratio of two months."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from panelwear.camera.framing import BARREL, MOST, SAID_FROM, Framing, elsewhere, framing_of
from panelwear.camera.map_files import load_map, save_map
from panelwear.camera.map_folder import chosen_pairs, from_one_place, photographs_beside
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.synthetic import MadeNoise, synthetic_map
from panelwear.camera.wear.findings import MapEnd
from panelwear.compare.comparison import End
from panelwear.folder.panel import Panel
from panelwear.simulation.camera.geometry import view_of
from panelwear.simulation.camera.model import FULL_CAMERA, Pose

FRAME = (6000, 4000)
CORNERS = np.array([(500, 600), (5500, 600), (5500, 3400), (500, 3400)], dtype=float)
HERE = framing_of(FRAME, CORNERS, 50.0)


def shifted(x: float, y: float = 0.0) -> Framing:
    return framing_of(FRAME, CORNERS + np.array([x, y]), 50.0)


def test_the_angle_of_a_lens_is_that_of_its_focal_length_in_35_mm_film():
    """A lens of 50 mm sees 46.8 degrees across the diagonal of 36 mm x 24 mm: handbook value, from memory."""
    assert 2 * math.degrees(math.atan(3605.55 / HERE.focal_px)) == pytest.approx(46.8, abs=0.1)


def test_a_small_shift_leaves_the_slope_of_cos4_times_the_panels_width():
    """4 W d / f^2 of the linear step, by hand, times the barrel's part."""
    by_hand = 4 * 5000 * 10 / HERE.focal_px**2
    assert HERE.fall_off_apart(shifted(10)) == pytest.approx(BARREL * by_hand, rel=0.12)
    assert HERE.fall_off_apart(HERE) == 0


def test_cos4_of_a_corner_is_that_of_the_table():
    """10 degrees 0.941, 20 degrees 0.780, 30 degrees 0.563; Source: cos^4 law, computed."""
    for degrees, left in ((10, 0.941), (20, 0.780), (30, 0.563)):
        far = HERE.focal_px * math.tan(math.radians(degrees))
        point = framing_of(FRAME, [(3000, 2000)] * 4, 50.0)
        stretched = framing_of(FRAME, [(3000, 2000), (3000 + far, 2000), (3000 + far, 2000), (3000, 2000)], 50.0)
        assert math.exp(-point.fall_off_apart(stretched) / BARREL) == pytest.approx(left, abs=6e-4)


def test_what_little_there_is_is_not_said_more_is_counted_and_much_refused():
    near, farther, far = (elsewhere(HERE, shifted(x)) for x in (1, 20, 120))
    assert (near.said, near.refused) == ("", False) and 0 < near.u_slow < SAID_FROM
    assert SAID_FROM < farther.u_slow < MOST and not farther.refused
    assert "lies 20 camera pixels (0.33 % of the frame) from where it lay" in farther.said
    assert "counted as a slow gradient" in farther.said
    assert far.refused and "put the camera back on its marks, or photograph an even surface" in far.said


def test_a_lens_whose_angle_is_not_told_is_taken_for_a_wide_one():
    unknown = [replace(one, focal_35_mm=None) for one in (HERE, shifted(20))]
    found = elsewhere(*unknown)
    assert found.u_slow > elsewhere(HERE, shifted(20)).u_slow
    assert "for a lens of 35 mm, as its angle is not told" in found.said
    assert elsewhere(None, HERE).said and elsewhere(HERE, replace(HERE, frame_px=(3000, 2000))).refused


@pytest.mark.parametrize("pose", [Pose(shift=(0.004, 0)), Pose(shift=(0.002, -0.003), roll_deg=0.3), Pose(fill=0.86)])
def test_what_is_counted_covers_the_simulated_lens(pose):
    """The simulated lens has cos^4 and a barrel; its own ratio across the panel lies within what is counted."""
    panel = (3840, 2160)
    views = [view_of(FULL_CAMERA, one, panel, (597.0, 336.0)) for one in (Pose(), pose)]
    there = np.stack(np.meshgrid(np.linspace(0, 3840, 15), np.linspace(0, 2160, 9)), axis=-1)
    corners = [v.to_frame(np.array([(0, 0), (3840, 0), (3840, 2160), (0, 2160)], dtype=float)) for v in views]
    counted = framing_of(FRAME, corners[0], 50.0).fall_off_apart(framing_of(FRAME, corners[1], 50.0))
    f = FULL_CAMERA.lens.focal_mm * 1000 / FULL_CAMERA.sensor.pitch_um
    logs = [-2 * np.log1p((((v.to_frame(there) - np.array(FRAME) / 2) / f) ** 2).sum(axis=-1)) for v in views]
    true = float(np.ptp(logs[1] - logs[0]))
    assert true <= counted <= 2.5 * true


def end(number: int, framing: Framing) -> MapEnd:
    """A map seen as framed, by a lens without distortion; every framing here is a rectangle."""
    one = synthetic_map((), MadeNoise(0.001), seed=number, panel_px=(1280, 720), shading="same-set-up")
    (left, top), _, (right, bottom), _ = framing.corners_px
    homography = np.array([[(right - left) / 1280, 0, left], [0, (bottom - top) / 720, top], [0, 0, 1]])
    view = PanelView((1280, 720), framing.frame_px, homography, (3000.0, 2000.0), 0.0, 0.0)
    return MapEnd(End(f"c{number}", 1000.0 * number, ""), (replace(one, view=view, focal_35_mm=framing.focal_35_mm),))


PANEL = Panel(Path("harbour-desk"), "harbour-desk", 1280, 720, (597.0, 336.0), 60.0, 600.0)


def test_pairs_count_what_the_lens_leaves_and_leave_out_what_cannot_be_divided():
    ends = (end(0, HERE), end(1, shifted(120)), end(2, shifted(121)), end(3, shifted(12)))
    whole, nothing, again = (from_one_place(ends[0], one) for one in (ends[3], ends[2], ends[0]))
    assert whole[1].maps[0].u_slow > ends[3].maps[0].u_slow and len(whole[1].maps[0].cautions) == 1
    assert nothing[0].maps == nothing[1].maps == () and nothing[2][0].startswith("grey-20cd: the panel lies 121 camera")
    assert again[1].maps[0].u_slow == ends[0].maps[0].u_slow
    base, last = photographs_beside(ends[:3], PANEL, None)
    assert (base.since, base.fields) == ("baseline", ()) and "the panel lies 121" in base.not_compared[0]
    assert (last.since, last.fields) == ("last", ("grey 20 cd/m²",)) and last.not_compared == ()


def test_which_pairs_are_chosen():
    names = ["a", "b", "c"]
    assert chosen_pairs(names, None, None) == [("baseline", 0, 2), ("last", 1, 2)]
    assert chosen_pairs(names, None, "b") == [("baseline", 0, 1)]
    assert chosen_pairs(names, "b", None) == [("chosen", 1, 2)]
    assert chosen_pairs(names, "c", "b") == chosen_pairs(names, "x", None) == chosen_pairs([], None, None) == []


def test_where_the_panel_lay_is_kept_with_the_map(tmp_path):
    one = end(0, shifted(3.25)).maps[0]
    assert load_map(save_map(tmp_path, one)[2]).framing == one.framing == shifted(3.25)
    older = replace(one, view=None)
    assert load_map(save_map(tmp_path / "b", older)[2]).framing is None
