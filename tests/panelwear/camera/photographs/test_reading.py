"""A whole shoot is read: maps beside the truth, one reading after the other, and every way a shoot can be bad."""

from __future__ import annotations

import hashlib
import json
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import tifffile

from panelwear.camera.card_of import card_of
from panelwear.camera.photographs.kinds import photo_file
from panelwear.camera.photographs.opening import opened_photograph
from panelwear.camera.shots import ShootLabel
from panelwear.cli import main
from panelwear.folder.checkpoint import load
from panelwear.folder.hours import HoursOfUse
from panelwear.folder.shoots import save_shoot, shoots_of
from panelwear.simulation.camera.exif import Exif
from panelwear.simulation.camera.picture_files import png_bytes
from panelwear.upkeep.check import check
from patterns.raster import raster
from tests.panelwear.camera.photographs.shoots import BADGE, BAND, Taken, contrast, taken


@pytest.fixture(scope="module")
def good(tmp_path_factory) -> Taken:
    one = taken(tmp_path_factory.mktemp("good"))
    before = [hashlib.sha256(path.read_bytes()).hexdigest() for path in one.files]
    assert main(["-q", *one.arguments()]) == 0
    assert [hashlib.sha256(path.read_bytes()).hexdigest() for path in one.files] == before
    return one


def test_every_field_has_a_map_and_nothing_else_has(good):
    assert sorted(good.maps()) == ["blue-c200", "green-c200", "grey-60cd", "red-c200"]


@pytest.mark.parametrize(("name", "channel"), [("grey-60cd", "grey"), ("red-c200", "red"), ("blue-c200", "blue")])
def test_zones_have_their_contrast(good, name, channel):
    light, true = good.maps()[name].light, good.true_light(name, channel)
    for zone, put_in in ((BAND, -1.0), (BADGE, -0.5)):
        assert contrast(true, zone) == pytest.approx(put_in, abs=0.4)  # the panel's own unevenness is in it too
        assert contrast(light, zone) == pytest.approx(contrast(true, zone), abs=0.06)


def test_the_lens_is_taken_out_over_the_whole_panel(good):
    """Without the even surface the corners would be 8 per cent darker than the middle."""
    one = good.maps()["green-c200"]
    quotient = one.light / good.true_light("green-c200", "green")
    quotient /= np.nanmedian(quotient)
    corners = [np.nanmean(quotient[rows, columns]) for rows in (slice(5, 45), slice(-45, -5))
               for columns in (slice(5, 65), slice(-65, -5))]  # fmt: skip
    np.testing.assert_allclose(corners, 1, atol=1e-3)
    assert one.shading == "even-surface"


def test_a_map_says_what_it_is_of(good):
    one = good.maps()["grey-60cd"]
    assert one.simulated and not one.for_showing
    assert one.set_up == "simulated camera, 50 mm, f/8"
    assert one.shot.target_cd_m2 == 60
    assert 0.001 < np.nanmedian(one.u_light) < 0.003
    assert 0.9 < one.usable.mean() < 1
    assert not one.usable[0].any() and not one.usable[:, -1].any()
    digests = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in good.files}
    assert dict(one.sources).items() <= digests.items()


def test_what_was_read_is_told(good):
    told = json.loads((good.checkpoint / "maps" / "read.json").read_text())
    assert told["registration"]["rms_px"] < 0.05
    assert told["registration"]["dots"] > 160
    # The truth of the simulated sensor: 0.32 numbers an electron, 3.5 electrons of read noise, 0.8 % PRNU.
    assert told["noise"]["gain_dn_per_e"] == pytest.approx(0.32, rel=0.03)
    assert told["noise"]["dark_e"] == pytest.approx(3.5, rel=0.1)
    assert len(told["files"]) == len(good.files)
    assert {one["shot"] for one in told["files"]} >= {"title-card", "dots", "black", "even-surface", "grey-60cd"}


def test_maps_are_checked_and_not_sealed(good):
    assert check(good.checkpoint).problems == ()
    assert check(good.checkpoint / "maps" / "read.json").what == "what photographs were read"
    assert check(good.checkpoint / "maps" / "grey-60cd.json").problems == ()
    from panelwear.folder.evidence_files import evidence_files

    names = evidence_files(load(good.checkpoint).directory, ())
    assert any(name.startswith("photos/") for name in names)
    assert not any(name.startswith("maps/") for name in names)


def test_a_map_that_is_gone_is_a_fault(good, tmp_path):
    copy = tmp_path / "copy"
    shutil.copytree(good.checkpoint, copy, ignore=shutil.ignore_patterns("*.dng"))
    (copy / "maps" / "red-c200.npz").unlink()
    for path in (copy / "maps").glob("blue-c200.*"):
        path.unlink()
    said = "\n".join(check(copy).problems)
    assert "red-c200.npz is missing" in said
    assert "the map of 'blue-c200' is gone" in said


def _renamed(good, folder: Path, *, name: str = "quay-desk", **of_the_shoot: object) -> Path:
    """Copy the panel's folder under another name, its name in all files changed too; keys of its shoot's record."""
    shutil.copytree(good.panel, folder, ignore=shutil.ignore_patterns("*.dng"))
    record = folder / "checkpoints" / good.checkpoint.name / "checkpoint.json"
    for path in (folder / "panel.toml", record):
        path.write_text(path.read_text().replace("harbour-desk", name))
    shoot = record.parent / "shoots" / "shoot-1.json"
    shoot.write_text(json.dumps(json.loads(shoot.read_text()) | of_the_shoot))
    return folder


def test_another_panel_and_another_checkpoint_are_refused(good, tmp_path, capsys):
    card = str(good.files[0])
    for number, stated in enumerate(({}, {"panel": "quay-desk"}, {"screen": {"width_px": 480, "height_px": 270}})):
        other = _renamed(good, tmp_path / f"quay-{number}", **stated)
        assert main(["camera", "read", str(other), card, "--dry-run"]) == 2
        assert f"its title card is of panel harbour-desk, and this folder is quay-{number}" in capsys.readouterr().err
    # The record knows its card better than any name.
    other = _renamed(good, tmp_path / "harbour-desk", name="harbour-desk", panel="quay-desk")
    assert main(["camera", "read", str(other), card, "--dry-run"]) == 2
    capsys.readouterr()
    assert main(["camera", "read", str(good.panel), card, "--checkpoint", "2026-05-01-h900"]) == 2
    assert "the title card in sim_0001.dng is of 2026-01-05-h0" in capsys.readouterr().err


def test_photographs_are_known_after_their_folder_was_renamed(good, tmp_path, capsys):
    card = str(good.files[0])
    read = ["--dry-run", "--as", "sim_0001.dng=title-card"]
    # By its name in panel.toml and in the checkpoint, in a folder of any name.
    named = _renamed(good, tmp_path / "copied", name="harbour-desk")
    assert main(["camera", "read", str(named), card, *read]) == 0
    (named / "panel.toml").write_text((named / "panel.toml").read_text().replace("harbour-desk", "wall"))
    assert main(["camera", "read", str(named), card, *read]) == 0
    # By what the shoot's record says of its card.
    assert main(["camera", "read", str(_renamed(good, tmp_path / "kept", panel="harbour-desk")), card, *read]) == 0
    # By the card itself, where an older record says no name: its pixels have the digest of what stood.
    old = _renamed(good, tmp_path / "old")
    record = shoots_of(old / "checkpoints" / good.checkpoint.name)[0]
    names = tuple(one.name for one in record.shots[1:])
    label = ShootLabel("harbour-desk", good.checkpoint.name, "shoot-1", names)
    stood = hashlib.sha256(raster(card_of(record, label, "quay-desk", HoursOfUse(0.0), (960, 540))).tobytes())
    shots = (replace(record.shots[0], frame_sha256=stood.hexdigest()), *record.shots[1:])
    shown = replace(record, shots=shots, screen={"width_px": 960, "height_px": 540})
    save_shoot(old / "checkpoints" / good.checkpoint.name, shown)
    assert main(["camera", "read", str(old), card, *read]) == 0
    assert "shoot-1 of checkpoint 2026-01-05-h0, 1 photograph." in capsys.readouterr().out


def test_a_person_can_say_what_a_photograph_is(good, capsys):
    few = [str(path) for path in good.files[:4]]
    assert main(["camera", "read", str(good.panel), *few, "--dry-run", "--as", "sim_0003.dng=none"]) == 0
    said = capsys.readouterr().out
    row = next(line for line in said.splitlines() if line.startswith("sim_0003"))
    assert row.split()[1] == "none"
    assert main(["camera", "read", str(good.panel), *few, "--dry-run", "--as", "sim_0003.dng=grey-9cd"]) == 2
    assert "this shoot has no shot 'grey-9cd'" in capsys.readouterr().err
    # Dots are no black field.
    assert main(["camera", "read", str(good.panel), *few, "--dry-run", "--as", "x.dng=dots"]) == 2
    assert "wanted FILE=SHOT" in capsys.readouterr().err


def test_without_a_title_card_the_checkpoint_is_named(good, capsys):
    few = [str(path) for path in good.files[1:4]]
    assert main(["camera", "read", str(good.panel), *few, "--dry-run"]) == 2
    assert "no title card could be read" in capsys.readouterr().err
    named = ["--checkpoint", good.checkpoint.name]
    assert main(["camera", "read", str(good.panel), *few, "--dry-run", *named]) == 0
    assert "nothing but you says whose they are" in capsys.readouterr().out


def test_without_dots_there_is_no_map(good, capsys):
    some = [str(path) for path in good.files if int(path.stem[4:]) not in {2, 3, 14, 15}]
    assert main(["-q", "camera", "read", str(good.panel), *some]) == 2
    assert "no photograph of the dot grid" in capsys.readouterr().err


@pytest.mark.slow
@pytest.mark.parametrize(
    ("fault", "said"),
    [
        ("bands", "refresh bands of"),
        ("moved", "the camera moved by"),
        ("saturated", "is saturated in a colour of the camera"),
        ("wrong-order", "does not look like the shot"),
        ("cut-off", "corner lies outside the photograph"),
        ("oblique", "degrees aslant, and 20 is the most"),
        ("mirrored", "seen in a mirror"),
    ],
)
def test_a_bad_shoot_is_refused_or_marked(fault, said, tmp_path, capsys):
    one = taken(tmp_path, fault=fault, levels=(20, 60))
    more = ["--checkpoint", one.checkpoint.name] if fault == "cut-off" else []
    code = main(one.arguments(*more))
    told = " ".join(" ".join(capsys.readouterr()).split())
    assert said in told
    assert code == (0 if fault == "mirrored" else 2)
    grey = {name for name in one.maps() if name.startswith("grey")}
    assert grey == ({"grey-20cd", "grey-60cd"} if fault == "mirrored" else set())


@pytest.mark.slow
def test_poses_part_lens_and_panel(tmp_path):
    one = taken(tmp_path, poses=True, surface=False)
    assert main(["-q", *one.arguments()]) == 0
    found = one.maps()["green-c200"]
    quotient = found.light / one.true_light("green-c200", "green")
    quotient /= np.nanmedian(quotient)
    corners = [np.nanmean(quotient[rows, columns]) for rows in (slice(5, 45), slice(-45, -5))
               for columns in (slice(5, 65), slice(-65, -5))]  # fmt: skip
    np.testing.assert_allclose(corners, 1, atol=1.5e-3)
    assert found.shading == "poses"
    assert 0.001 < found.u_slow < 0.01


@pytest.mark.slow
def test_the_same_set_up_cancels_in_the_quotient_of_two_shoots(tmp_path):
    first, second = (taken(tmp_path / name, surface=False, seed=seed) for name, seed in (("a", 1), ("b", 2)))
    for one in (first, second):
        assert main(["-q", *one.arguments()]) == 0
    before, after = (one.maps()["grey-60cd"] for one in (first, second))
    assert before.shading == after.shading == "same-set-up" and before.set_up == after.set_up
    assert np.nanstd(before.light) > 0.01  # the lens is in each
    assert abs(contrast(after.light / before.light, BAND)) < 0.05


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "for_showing"), [("tiff", False), ("png", False), ("jpeg", True)])
def test_other_kinds_of_files(kind, for_showing, tmp_path):
    one = taken(tmp_path, kind=kind, stairs=True)
    assert main(["-q", *one.arguments()]) in ({0, 2} if for_showing else {0})
    maps = one.maps()
    assert maps and all(found.for_showing is for_showing for found in maps.values())
    if not for_showing:
        light, true = maps["green-c200"].light, one.true_light("green-c200", "green")
        assert contrast(light, BAND) == pytest.approx(contrast(true, BAND), abs=0.08)


def as_colour_png(one: Taken, shown=lambda numbers: numbers) -> Taken:
    """Turn the TIFF of a shoot into PNG of 16 bits in colour, numbers changed by a function."""
    files = []
    for path in one.files:
        pixels, told = tifffile.imread(path), opened_photograph(photo_file(path)).taken
        exif = Exif(told.exposure_s, told.aperture, int(told.iso), told.focal_mm, told.at)
        files.append(path.with_suffix(".png"))
        files[-1].write_bytes(png_bytes(shown(pixels), exif))
        path.unlink()
    return replace(one, files=tuple(files))


@pytest.mark.slow
@pytest.mark.parametrize("stairs", [True, False])
@pytest.mark.parametrize("is_linear", [True, False])
def test_colour_png_of_16_bits_is_measured_where_the_staircase_says_that_it_is_linear(
    is_linear, stairs, tmp_path, capsys
):
    def gamma(pixels):
        return np.round(65535 * (pixels / 65535) ** (1 / 2.2)).astype(np.uint16)

    one = as_colour_png(taken(tmp_path, kind="tiff", stairs=stairs), (lambda p: p) if is_linear else gamma)
    assert main(one.arguments()) == 0
    told = " ".join(capsys.readouterr().out.split())
    maps = one.maps()
    measured = is_linear and stairs
    assert maps and all(found.for_showing is not measured for found in maps.values())
    if not stairs:
        assert "no staircase tells whether these numbers are linear in light; the maps are for showing alone" in told
    elif not is_linear:
        assert "numbers are not linear in light: turned into light by the staircase, and for showing alone" in told
    if stairs:
        light, true = maps["green-c200"].light, one.true_light("green-c200", "green")
        assert contrast(light, BAND) == pytest.approx(contrast(true, BAND), abs=0.08 if is_linear else 0.3)
