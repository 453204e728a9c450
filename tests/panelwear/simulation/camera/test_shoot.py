"""Whole shoots: what a reader is given, and what goes wrong on wish."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import rawpy
import zxingcpp
from PIL import Image
from scipy import ndimage

from panelwear.camera.qr_code import shoot_card
from panelwear.camera.shots import ShootLabel, label_of
from panelwear.errors import StorageFault
from panelwear.simulation.camera.faults import Fault, faults, spoiled
from panelwear.simulation.camera.geometry import view_of
from panelwear.simulation.camera.model import SMALL_CAMERA, Sensor, filter_index
from panelwear.simulation.camera.poses import FOUR_POSES, on_its_marks
from panelwear.simulation.camera.shoot_files import write_shoot
from panelwear.simulation.camera.shooting import Shoot, Taken, exif_of, frames
from panelwear.simulation.camera.shots import drive_for, picture_of, wanted_shots
from panelwear.simulation.camera.surface import PanelSurface
from panelwear.simulation.panel import SimulatedPanel
from patterns.camera import dot_centres
from sequences.model import PanelFacts
from sequences.shoot_schema import ShootList
from sequences.shoots import parse
from tests.panelwear.simulation.camera.small import TAKEN

SIZE = (480, 270)
CAMERA = replace(SMALL_CAMERA, sensor=Sensor(size_px=(750, 500), pitch_um=48.0, hot_share=0.0))
LIST = """
name = "try"
description = "A few shots."
frames = 2
[[shots]]
kind = "dots"
[[shots]]
kind = "black"
[[shots]]
kind = "fields"
cd_m2 = [20, 100]
codes = [66, 140]
in_poses = true
[[shots]]
kind = "fields"
hues = ["blue"]
codes = [150]
[[shots]]
kind = "even-surface"
"""


def listed() -> ShootList:
    return parse(LIST)


@cache
def panel(hours: float = 0.0) -> PanelSurface:
    return PanelSurface(SimulatedPanel().at(hours), SIZE)


def shoot(poses: bool = False) -> Shoot:
    wanted = wanted_shots(listed(), panel().state, PanelFacts(*SIZE, (597.0, 336.0)), poses=poses)
    label = ShootLabel("harbour-desk", "2026-01-05-h0", "shoot-1", tuple(one.shot.name for one in wanted))
    card = shoot_card(SIZE, label, ["harbour-desk", "0 h"])
    return Shoot(CAMERA, label, card, wanted, TAKEN, poses=FOUR_POSES if poses else (FOUR_POSES[0],))


def light(one: Taken) -> np.ndarray:
    return one.raw - float(CAMERA.sensor.offset_dn)


def misses(taken: list[Taken], told: np.ndarray) -> np.ndarray:
    """How far each dot's green light lies from where it is said to be, ``(170, 2)`` in camera pixels."""
    frame = np.mean([light(one) for one in taken], axis=0)
    green = np.tile(filter_index("RGGB") == 1, (250, 375))
    off = []
    for x, y in told:
        left, top = int(x) - 8, int(y) - 8
        box = (slice(top, top + 17), slice(left, left + 17))
        weight = np.maximum(frame[box], 0) * green[box]
        rows, columns = np.mgrid[top : top + 17, left : left + 17] + 0.5
        off.append(((weight * columns).sum() / weight.sum() - x, (weight * rows).sum() / weight.sum() - y))
    return np.array(off)


def by_shot(wish: Shoot) -> dict[str, list[Taken]]:
    found: dict[str, list[Taken]] = {}
    for one in frames(wish, panel()):
        found.setdefault(one.shot.name, []).append(one)
    return found


@pytest.fixture(scope="module")
def good() -> dict[str, list[Taken]]:
    return by_shot(shoot())


def test_every_shot_of_the_list_is_taken_in_its_order(good: dict[str, list[Taken]]) -> None:
    names = ["title-card", "dots", "black", "grey-20cd", "blue-c150", "grey-100cd", "dots-end", "even-surface"]
    assert sorted(good) == sorted(names) and next(iter(good)) == "title-card"
    assert [len(taken) for taken in good.values()] == [1, *[2] * 7]
    numbers = [one.number for taken in good.values() for one in taken]
    assert numbers == list(range(1, 16))
    moments = [one.exif.taken for taken in good.values() for one in taken]
    assert moments == sorted(moments) and len(set(moments)) == 15


def test_exposures_are_whole_refresh_periods_that_fill_the_sensor_well(good: dict[str, list[Taken]]) -> None:
    white = CAMERA.sensor.white_dn - CAMERA.sensor.offset_dn
    for name in ("grey-20cd", "grey-100cd", "blue-c150", "even-surface"):
        brightest = np.quantile(light(good[name][0]), 0.995) / white
        assert 0.2 < brightest < 0.95, name


def test_fields_stand_at_the_luminances_wanted() -> None:
    state = panel().state
    for cd_m2 in (5.0, 20.0, 120.0):
        code = drive_for(state, "grey", cd_m2)
        whole = picture_of(replace(shoot().wanted[-2].shot, kind="field", codes=(code,) * 3), (1280, 720))
        assert whole is not None
        # A drive level with a fraction is a spatial mix; grain stays within an aperture of 40 mm.
        assert state.light(whole, (640.0, 360.0), 40.0)[1] == pytest.approx(cd_m2, rel=0.002)
    with pytest.raises(ValueError, match="out of reach"):
        drive_for(state, "grey", 400.0)


def test_the_title_card_is_read_from_a_photograph_of_it(tmp_path: Path) -> None:
    wish = shoot()
    written = write_shoot(tmp_path / "photos", tmp_path / "truth" / "shoot-1", replace(wish, wanted=()), panel(),
                          kind="jpeg")  # fmt: skip
    (card,) = written.photographs
    with Image.open(card) as picture:
        (code,) = zxingcpp.read_barcodes(np.asarray(picture.convert("L")), formats=zxingcpp.BarcodeFormat.QRCode)
    assert label_of(code.text) == wish.label


def test_dots_lie_where_the_truth_says(good: dict[str, list[Taken]], tmp_path: Path) -> None:
    wish = shoot()
    write_shoot(tmp_path / "p", tmp_path / "t" / "shoot-1", wish, panel())
    truth = json.loads((tmp_path / "t" / "shoot-1.json").read_text(encoding="utf-8"))
    (view,) = truth["views"]
    told = np.array(view["dots_px"])
    assert told.shape == dot_centres(*SIZE).shape
    off = misses(good["dots"], told)
    assert np.sqrt(np.mean(np.square(off))) < 0.05
    assert np.abs(np.mean(off, axis=0)).max() < 0.02  # a middle that were half a pixel wrong would be seen


def test_files_hold_what_was_taken_and_the_truth_names_them(good: dict[str, list[Taken]], tmp_path: Path) -> None:
    written = write_shoot(tmp_path / "p", tmp_path / "t" / "shoot-1", shoot(), panel())
    assert [path.name for path in written.photographs][:2] == ["sim_0001.dng", "sim_0002.dng"]
    taken = [one for frames_of in good.values() for one in frames_of]
    for path, one in zip(written.photographs, taken, strict=True):
        with rawpy.imread(str(path)) as read:
            assert np.array_equal(read.raw_image_visible, one.raw)  # and so the same seed gives the same frames
    truth = json.loads(written.truth[0].read_text(encoding="utf-8"))
    assert [one["file"] for one in truth["photographs"]] == [path.name for path in written.photographs]
    assert [one["shot"] for one in truth["photographs"]] == [one.shot.name for one in taken]
    with np.load(written.truth[1]) as numbers:
        assert set(numbers) == {f"{name}.{what}" for name in ("grey-20cd", "grey-100cd", "blue-c150")
                                for what in ("cd_m2", "filters")}  # fmt: skip
        assert numbers["grey-100cd.cd_m2"].shape == (270, 480)
        assert numbers["grey-100cd.cd_m2"].mean() == pytest.approx(100.0, rel=0.02)
    with pytest.raises(StorageFault, match="stands there already"):
        write_shoot(tmp_path / "p", tmp_path / "t" / "again", shoot(), panel())


@pytest.mark.parametrize("kind", ["tiff", "png", "jpeg"])
def test_other_kinds_of_files_open(kind: str, tmp_path: Path) -> None:
    wish = replace(shoot(), wanted=shoot().wanted[:1])
    written = write_shoot(tmp_path / "p", tmp_path / "t", wish, panel(), kind=kind)  # type: ignore[arg-type]
    with Image.open(io.BytesIO(written.photographs[1].read_bytes())) as picture:
        assert (picture.size, picture.mode) == ((750, 500), "I;16" if kind == "png" else "RGB")


def test_other_poses_move_the_panel_in_the_frame() -> None:
    found = by_shot(
        replace(shoot(poses=True), wanted=tuple(w for w in shoot(poses=True).wanted if "dots" in w.shot.name))
    )
    assert list(found) == ["title-card", "dots", "dots-end", "dots-pose1", "dots-pose2", "dots-pose3"]
    middles = {}
    for name, taken in found.items():
        lit = np.argwhere(light(taken[0]) > 0.2 * light(taken[0]).max())
        middles[name] = lit.mean(axis=0)[::-1] / (750, 500)
    assert middles["dots-pose1"] - middles["dots"] == pytest.approx([0.12, 0.0], abs=0.01)
    assert middles["dots-pose2"] - middles["dots"] == pytest.approx([0.0, -0.17], abs=0.01)


def test_another_seed_is_another_noise_and_nothing_else(good: dict[str, list[Taken]]) -> None:
    other = next(iter(frames(replace(shoot(), seed=2), panel())))
    first = good["title-card"][0]
    assert not np.array_equal(other.raw, first.raw)
    assert np.abs(other.raw.astype(float) - first.raw).mean() < 30


@pytest.mark.parametrize("fault", faults())
def test_a_spoiled_shoot_has_its_fault(fault: Fault, good: dict[str, list[Taken]]) -> None:
    wish = spoiled(shoot(), fault, SIZE)
    assert wish != shoot()
    CHECKS[fault](wish, by_shot(wish), good)


Frames = dict[str, list[Taken]]


def _moire(wish: Shoot, found: Frames, good: Frames) -> None:
    def beat(taken: list[Taken]) -> tuple[float, float]:
        """Largest amplitude of the greens' spectrum, relative, and its cycles per camera pixel along the rows."""
        greens = np.mean([light(one) for one in taken], axis=0)[200:300:2, 251:501:2]
        flat = greens / ndimage.gaussian_filter(greens, 8) - 1
        window = np.outer(np.hanning(50), np.hanning(125))
        spectrum = np.abs(np.fft.rfft2(flat * window)) / window.sum() * 2
        _, column = np.unravel_index(spectrum.argmax(), spectrum.shape)
        return float(spectrum.max()), float(np.fft.rfftfreq(125, 2)[column])

    amplitude, frequency = beat(found["grey-100cd"])
    assert beat(good["grey-100cd"])[0] < 0.004 and amplitude > 0.02
    # Greens lie two pixels apart and see a grid of 1.05: |2 / 1.05 - 2| / 2.
    assert frequency == pytest.approx(abs(2 / 1.05 - 2) / 2, abs=0.005)
    assert wish.camera.lens.blur_px < 0.3


def _bands(wish: Shoot, found: Frames, good: Frames) -> None:
    def swing(taken: list[Taken]) -> float:
        ratio = (light(taken[0])[150:350] / light(taken[1])[150:350].clip(1))[:, 200:550].mean(axis=1)
        return float(ratio.std())

    assert swing(found["grey-100cd"]) > 0.01 > 5 * swing(good["grey-100cd"])
    assert all(abs(one.exposure_s * 60 % 1 - 0.5) < 1e-6 for one in wish.wanted)


def _moved(wish: Shoot, found: Frames, good: Frames) -> None:
    area_mm = panel().state.model.active_area_mm
    before, after = (
        view_of(CAMERA, pose, SIZE, area_mm).to_frame(dot_centres(*SIZE)) for pose in (wish.poses[0], wish.moved[0][1])
    )
    assert (after - before).mean(axis=0) == pytest.approx([7.5, 3.0], abs=0.1)  # 1 % and 0.6 % of the frame
    for name, places in (("dots", before), ("dots-end", after)):
        assert np.sqrt(np.mean(np.square(misses(found[name], places)))) < 0.05
    assert np.sqrt(np.mean(np.square(misses(good["dots-end"], before)))) < 0.05


def _saturated(wish: Shoot, found: Frames, good: Frames) -> None:
    white = 0.98 * (CAMERA.sensor.white_dn - CAMERA.sensor.offset_dn)
    assert (light(found["grey-100cd"][0]) > white).mean() > 0.1
    assert (light(good["grey-100cd"][0]) > white).mean() < 1e-4


def _wrong_order(wish: Shoot, found: Frames, good: Frames) -> None:
    assert found["grey-20cd"][0].shown.name == "grey-100cd"
    mean = {name: float(light(one["grey-20cd"][0]).mean()) for name, one in (("found", found), ("good", good))}
    assert mean["found"] > 1.4 * mean["good"]


def _cut_off(wish: Shoot, found: Frames, good: Frames) -> None:
    assert (light(found["grey-100cd"][0])[100:400, -6:] > 500).mean() > 0.9
    assert (light(good["grey-100cd"][0])[:, -6:] > 500).mean() < 0.01


def _oblique(wish: Shoot, found: Frames, good: Frames) -> None:
    lit = light(found["grey-100cd"][0]) > 500
    high = lit.sum(axis=0)
    seen = np.flatnonzero(high > 20)
    assert high[seen[20]] / high[seen[-20]] > 1.25 or high[seen[-20]] / high[seen[20]] > 1.25
    assert len(seen) < 0.75 * (light(good["grey-100cd"][0]) > 500).any(axis=0).sum()


def _mirrored(wish: Shoot, found: Frames, good: Frames) -> None:
    def large(taken: list[Taken]) -> float:
        seen = light(taken[0])
        return float(np.argwhere(seen[:120] > 0.4 * seen.max())[:, 1].mean())

    assert large(good["dots"]) < 375 < large(found["dots"])


CHECKS = {"moire": _moire, "bands": _bands, "moved": _moved, "saturated": _saturated, "wrong-order": _wrong_order,
          "cut-off": _cut_off, "oblique": _oblique, "mirrored": _mirrored}  # fmt: skip


def test_exposure_tags_are_the_cameras() -> None:
    told = exif_of(CAMERA, 0.25, TAKEN)
    assert (told.exposure_s, told.f_number, told.focal_mm, told.iso) == (0.25, 8.0, 50.0, 100)
    assert (told.make, told.model) == ("simulated", "simulated camera")


def test_a_tripod_finds_its_marks_within_what_is_told() -> None:
    found = [on_its_marks(FOUR_POSES[1], seed, 0.004, 0.3) for seed in range(300)]
    assert found[:2] == [on_its_marks(FOUR_POSES[1], seed, 0.004, 0.3) for seed in range(2)]
    shifts = np.array([one.shift for one in found]) - FOUR_POSES[1].shift
    angles = np.array([(one.tilt_deg, one.turn_deg, one.roll_deg) for one in found])
    assert shifts.std() == pytest.approx(0.004, rel=0.1) and angles.std() == pytest.approx(0.3, rel=0.1)
    assert abs(shifts.mean()) < 0.0005 and abs(angles.mean()) < 0.03


def test_a_surface_that_is_not_even_rises_from_edge_to_edge() -> None:
    wish = replace(shoot(), wanted=shoot().wanted[-1:])
    even, sloped = (
        by_shot(replace(wish, surface_slope=slope))["even-surface"] for slope in ((0.0, 0.0), (0.02, -0.01))
    )
    ratio = np.mean([light(one) for one in sloped], axis=0) / np.mean([light(one) for one in even], axis=0).clip(1)
    inside = np.median(ratio.reshape(10, 50, 10, 75), axis=(1, 3))
    assert inside[:, -1].mean() - inside[:, 0].mean() == pytest.approx(0.018, abs=0.001)  # middles of tenths
    assert inside[-1].mean() - inside[0].mean() == pytest.approx(-0.009, abs=0.001)


def test_a_surface_lit_from_the_middle_is_darker_at_its_edges() -> None:
    wish = replace(shoot(), wanted=shoot().wanted[-1:])
    even, bowed = (by_shot(replace(wish, surface_bowl=bowl))["even-surface"] for bowl in ((0.0, 0.0), (-0.02, 0.0)))
    ratio = np.mean([light(one) for one in bowed], axis=0) / np.mean([light(one) for one in even], axis=0).clip(1)
    inside = np.median(ratio.reshape(10, 50, 10, 75), axis=(1, 3)).mean(axis=0)
    # Middles of tenths: 0.9 and 0.1 of the way to the edges.
    assert inside[0] - inside[4] == pytest.approx(-0.02 * (0.9**2 - 0.1**2), abs=0.001)
