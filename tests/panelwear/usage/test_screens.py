"""Screenshots become a dose map, and nothing else of them is kept."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from panelwear.ageing.dose import EXPONENTS
from panelwear.errors import FileFault, UsageError
from panelwear.folder.hours import HoursOfUse
from panelwear.folder.panel import Panel
from panelwear.panel.assumed import assumed_response
from panelwear.simulation.ageing import Ageing
from panelwear.simulation.usage import HARBOUR_DESK, harbour_desk_zones
from panelwear.usage.doses import doses_of
from panelwear.usage.maps import packed as pack
from panelwear.usage.maps import unpacked
from panelwear.usage.records import parse_usage
from panelwear.usage.screens import reduce_folder
from panelwear.usage.told import Begun
from patterns.frame import Rect
from sequences.model import Zone

SIZE = (1000, 30)
POWER = assumed_response({"kind": "power", "gamma": 2.2, "peak_cd_m2": 100.0})
LEFT, OVER = (Zone(name, rect, rect.centre) for name, rect in
              (("left", Rect(0, 0, 501, 30)), ("over", Rect(101, 0, 100, 30))))  # fmt: skip


def save(folder: Path, name: str, pixels: NDArray[np.uint8], **how: object) -> Path:
    folder.mkdir(exist_ok=True)
    Image.fromarray(pixels).save(folder / name, **how)  # type: ignore[arg-type]
    return folder / name


def flat(*codes: int) -> NDArray[np.uint8]:
    return np.broadcast_to(np.array(codes, np.uint8), (SIZE[1], SIZE[0], 3)).copy()


def test_the_mean_is_of_the_cost_and_not_of_the_picture(tmp_path: Path) -> None:
    save(tmp_path / "shots", "a.png", flat(255, 128, 0))
    save(tmp_path / "shots", "b.png", flat(0, 128, 0))
    (tmp_path / "shots" / "notes.txt").write_text("mine")
    before = {path.name: path.read_bytes() for path in (tmp_path / "shots").iterdir()}

    found = reduce_folder(tmp_path / "shots", SIZE, POWER)

    assert (found.pictures, found.other_files, found.map.cell_px) == (2, 1, 2)
    for n in EXPONENTS:
        red, green, blue = (found.map.mean("", (), channel, n) for channel in range(3))
        assert red == pytest.approx(0.5)  # half the time white: not (1/2)^(2.2 n)
        assert green == pytest.approx((128 / 255) ** (2.2 * n), rel=2e-3)
        assert blue == 0.0
    assert {path.name: path.read_bytes() for path in (tmp_path / "shots").iterdir()} == before


def test_a_zone_is_meant_to_the_pixel_where_others_lie_over_it(tmp_path: Path) -> None:
    picture = flat(0, 0, 0)
    picture[:, :101] = 255
    picture[:, 101:201] = (0, 255, 0)
    save(tmp_path / "shots", "a.png", picture)

    found = reduce_folder(tmp_path / "shots", SIZE, POWER).map

    zones = (LEFT, OVER)
    # Of 0..100 and 201..500 whole cells of two: 0..99 and 202..499.
    assert found.mean("left", zones, 0, 1.7) == pytest.approx(100 / 398)
    assert found.mean("over", zones, 1, 1.7) == pytest.approx(1.0)
    assert found.mean("", zones, 0, 1.7) == pytest.approx(0.0, abs=1e-9)
    assert found.mean("left", (LEFT, Zone("all", Rect(0, 0, 1000, 30), (500, 15))), 0, 1.7) > 0


def test_it_reads_back_as_it_was(tmp_path: Path) -> None:
    save(tmp_path / "shots", "a.png", flat(200, 100, 50))
    found = reduce_folder(tmp_path / "shots", SIZE, POWER).map
    again = unpacked(pack(found), "screens-1.npz", SIZE)
    assert np.array_equal(again.dose, found.dose)
    assert len(pack(found)) < 20_000


def test_the_digest_goes_by_the_pictures_and_not_by_their_names(tmp_path: Path) -> None:
    for folder, names in (("one", ("a.png", "b.png")), ("two", ("z.png", "y.png"))):
        for name, code in zip(names, (10, 20), strict=True):
            save(tmp_path / folder, name, flat(code, code, code))
    one, two = (reduce_folder(tmp_path / folder, SIZE, POWER).sha256 for folder in ("one", "two"))
    assert one == two


def test_every_picture_that_is_none_of_this_panel_is_named(tmp_path: Path) -> None:
    shots = tmp_path / "shots"
    save(shots, "good.png", flat(1, 2, 3))
    save(shots, "small.png", np.zeros((20, 1000, 3), np.uint8))
    (shots / "deep.png").write_bytes(b"")
    Image.fromarray(np.zeros((SIZE[1], SIZE[0]), np.uint16)).save(shots / "sixteen.png")
    (shots / "cut.png").write_bytes((shots / "good.png").read_bytes()[:60])
    (shots / "text.jpg").write_text("no picture")

    with pytest.raises(FileFault) as caught:
        reduce_folder(shots, SIZE, POWER)

    said = caught.value.problems
    assert [one.partition(":")[0] for one in said[:-1]] == [
        "cut.png",
        "deep.png",
        "sixteen.png",
        "small.png",
        "text.jpg",
    ]
    assert "small.png: has 1000 x 20 px, the panel 1000 x 30 px" in said
    assert "eight bits" in said[2]
    assert "nothing was kept" in said[-1]


def test_what_is_clear_shows_black(tmp_path: Path) -> None:
    clear = np.full((SIZE[1], SIZE[0], 4), 255, np.uint8)
    clear[:, :500, 3] = 0
    save(tmp_path / "shots", "a.png", clear)
    assert reduce_folder(tmp_path / "shots", SIZE, POWER).map.mean("", (), 0, 1.7) == pytest.approx(0.5)


def test_a_folder_without_pictures_is_named(tmp_path: Path) -> None:
    for folder in (tmp_path, tmp_path / "gone"):
        with pytest.raises(UsageError, match="--screenshots"):
            reduce_folder(folder, SIZE, POWER)


@pytest.mark.parametrize("part", ["dose", "exponents", "cell_px", "panel_px"])
def test_a_map_that_was_tampered_with_is_refused(tmp_path: Path, part: str) -> None:
    save(tmp_path / "shots", "a.png", flat(9, 9, 9))
    good = pack(reduce_folder(tmp_path / "shots", SIZE, POWER).map)
    with np.load(io.BytesIO(good)) as parts:
        numbers = dict(parts)
    for bad in (np.array(-1.0), np.array([1e9, 2]), np.array(["x"]), np.array([np.nan])):
        buffer = io.BytesIO()
        np.savez(buffer, **{**numbers, part: bad})  # type: ignore[arg-type]
        with pytest.raises(FileFault, match=r"usage/m\.npz: is no dose map of this panel"):
            unpacked(buffer.getvalue(), "m.npz", SIZE)
    for data in (b"", b"PK\x03\x04", good[:200], good[:-30]):
        with pytest.raises(FileFault, match=r"usage/m\.npz"):
            unpacked(data, "m.npz", SIZE)
    with pytest.raises(FileFault, match="made for 1000 x 30 px"):
        unpacked(good, "m.npz", (1000, 31))


def test_a_map_that_unpacks_without_end_is_refused() -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("dose.npy", bytes(300_000_000))
    with pytest.raises(FileFault, match="larger than any dose map"):
        unpacked(buffer.getvalue(), "m.npz", SIZE)


def test_screenshots_of_the_invented_desk_give_the_doses_it_is_worn_by(tmp_path: Path) -> None:
    width, height, white = 1280, 720, 200.0
    picture = np.zeros((height, width, 3), np.uint8)
    zones = harbour_desk_zones(width, height)
    for zone, content in zip(zones, HARBOUR_DESK, strict=True):
        rect = zone.rect
        codes = np.round(255 * (np.array(content.drive_cd_m2) / white) ** (1 / 2.2))
        picture[rect.y : rect.y + rect.h, rect.x : rect.x + rect.w] = codes.astype(np.uint8)
    save(tmp_path / "shots", "a.png", picture)
    panel = Panel(tmp_path, "harbour-desk", width, height, (597.0, 336.0), 60, 600, zones=zones)
    usage = parse_usage({"stretches": [{"since": "always", "white_cd_m2": white, "map": "screens-1.npz"}]})
    found = reduce_folder(tmp_path / "shots", (width, height), POWER).map

    doses = doses_of(usage, panel, POWER, (Begun("a", "2026-01-05", HoursOfUse(1000)),), {"screens-1.npz": found})

    # Ground truth: what the simulated panel's sub-pixels are aged by, in the middle of each zone, edges aside.
    at = np.array([zone.rect.centre for zone in zones]) / (width, height)
    at[0] = (0.5, 0.2)
    true = 1000 * Ageing().dose_rate(at[:, 0], at[:, 1])[:, :3]
    got = np.array([one.hours[0] for one in doses if one.zone]).reshape(-1, 3)
    # Half a drive level of v is 1.7 x 2.2 x 0.5 / v of the dose: 1.3 % at 149, 3.6 % of the badge's at 52.
    assert got[[0, 1, 3, 4]] == pytest.approx(true[[0, 1, 3, 4]], rel=0.015)
    assert got[2] == pytest.approx(true[2], rel=0.036)
