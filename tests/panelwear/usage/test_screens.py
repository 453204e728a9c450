"""Screenshots become a dose map, and nothing else of them is kept."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
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
from panelwear.usage.screens import pixels_of, reduce_folder
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
    Image.new("CMYK", SIZE).save(shots / "inks.jpg")
    (shots / "cut.png").write_bytes((shots / "good.png").read_bytes()[:60])
    (shots / "text.jpg").write_text("no picture")

    with pytest.raises(FileFault) as caught:
        reduce_folder(shots, SIZE, POWER)

    said = caught.value.problems
    assert [one.partition(":")[0] for one in said[:-1]] == [
        "cut.png",
        "deep.png",
        "inks.jpg",
        "small.png",
        "text.jpg",
    ]
    assert "small.png: has 1000 x 20 px, the panel 1000 x 30 px" in said
    assert "inks.jpg: has colours that are not red, green and blue" in said[2]
    assert "nothing was kept" in said[-1]


def deep_png(samples: NDArray[np.uint16], *more: tuple[bytes, bytes]) -> bytes:
    """Return a PNG of sixteen bits, grey or colour, by the format's own grammar (ISO/IEC 15948)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = samples.astype(">u2").reshape(len(samples), -1)
    head = struct.pack(">IIBBBBB", samples.shape[1], len(samples), 16, 2 if samples.ndim == 3 else 0, 0, 0, 0)
    packed = zlib.compress(b"".join(b"\0" + row.tobytes() for row in rows))
    chunks = ((b"IHDR", head), *more, (b"IDAT", packed), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*one) for one in chunks)


def test_sixteen_bits_are_taken_in_grey_as_in_colour() -> None:
    ramp = np.arange(SIZE[0] * SIZE[1], dtype=np.uint16).reshape(SIZE[1], SIZE[0]) * np.uint16(2)
    grey = pixels_of(deep_png(ramp), SIZE)
    assert np.array_equal(grey, pixels_of(deep_png(np.repeat(ramp[:, :, None], 3, axis=2)), SIZE))
    assert np.array_equal(grey[:, :, 1], ramp >> 8)
    seen = pixels_of(deep_png(ramp, (b"tRNS", struct.pack(">H", int(ramp[9, 9])))), SIZE)
    assert not seen[9, 9].any()
    assert np.array_equal(np.delete(seen.reshape(-1, 3), 9 * SIZE[0] + 9, 0),
                          np.delete(grey.reshape(-1, 3), 9 * SIZE[0] + 9, 0))  # fmt: skip


def test_a_picture_of_a_high_dynamic_range_is_refused() -> None:
    grey = np.full((SIZE[1], SIZE[0]), 30_000, np.uint16)
    # Primaries, curve, matrix, range (ITU-T H.273): 16 is that of SMPTE ST 2084, 13 that of sRGB.
    with pytest.raises(ValueError, match="is of a high dynamic range"):
        pixels_of(deep_png(grey, (b"cICP", bytes([9, 16, 0, 1]))), SIZE)
    assert (pixels_of(deep_png(grey, (b"cICP", bytes([1, 13, 0, 1]))), SIZE) == 117).all()


@pytest.mark.parametrize("ending", ["png", "webp"])
def test_a_film_is_refused(ending: str) -> None:
    one, two = (Image.fromarray(flat(code, code, code)) for code in (10, 20))
    buffer = io.BytesIO()
    one.save(buffer, ending, save_all=True, append_images=[two])
    with pytest.raises(ValueError, match="holds 2 pictures, of which only the first would count"):
        pixels_of(buffer.getvalue(), SIZE)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(("side", "said"), [(10_000, "has 10000 x 10000 px"), (20_000, "has far more pixels")])
def test_a_huge_picture_is_one_sentence(side: int, said: str) -> None:
    row = zlib.compress(bytes(1))
    head = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    chunks = [struct.pack(">I", len(d)) + k + d + struct.pack(">I", zlib.crc32(k + d))
              for k, d in ((b"IHDR", head), (b"IDAT", row), (b"IEND", b""))]  # fmt: skip
    with pytest.raises(ValueError, match=said):
        pixels_of(b"\x89PNG\r\n\x1a\n" + b"".join(chunks), SIZE)


def test_a_file_too_large_to_be_a_screenshot_is_refused(tmp_path: Path) -> None:
    with (tmp_path / "big.png").open("wb") as file:
        file.truncate(200_000_001)  # takes no room
    with pytest.raises(FileFault) as caught:
        reduce_folder(tmp_path, SIZE, POWER)
    assert caught.value.problems[0] == "big.png: is larger than 200 MB, more than a screenshot can be"


def test_a_name_that_would_act_on_a_terminal_is_said_escaped(tmp_path: Path) -> None:
    (tmp_path / "a\n\x1b[31mb.png").write_bytes(b"x")
    with pytest.raises(FileFault) as caught:
        reduce_folder(tmp_path, SIZE, POWER)
    assert caught.value.problems[0] == "a\\n\\x1b[31mb.png: is no picture that can be read"
    with pytest.raises(UsageError) as odd:
        reduce_folder(tmp_path / "gone\n\x1b", SIZE, POWER)
    assert str(odd.value).isprintable()


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


@pytest.mark.parametrize(
    ("part", "bad", "said"),
    [
        ("dose", np.zeros((3, 3, 15, 500), complex), "dose holds complex numbers where real numbers belong"),
        ("dose", np.full((3, 3, 15, 500), "0.5"), "dose holds text where real numbers belong"),
        ("dose", np.full((3, 3, 15, 500), b"0.5"), "dose holds text"),
        ("dose", np.ones((3, 3, 15, 500), bool), "dose holds true and false"),
        ("dose", np.zeros(3), "dose has 3 numbers, which is not its shape"),
        ("exponents", np.array(["1.4", "1.7", "2.0"]), "exponents holds text"),
        ("exponents", np.array(EXPONENTS, complex), "exponents holds complex numbers"),
        ("cell_px", np.array("2"), "cell_px holds text where whole numbers belong"),
        ("cell_px", np.array(2.5), "cell_px holds fractions where whole numbers belong"),
        ("cell_px", np.array([2, 2]), "cell_px has 2 numbers"),
        ("panel_px", np.array(["1000", "30"]), "panel_px holds text"),
        ("panel_px", np.array([1000, 30, 7]), "panel_px has 3 numbers"),
        ("panel_px", np.array([{}]), "it is damaged"),
    ],
)
def test_a_map_of_other_than_real_numbers_is_refused_with_what_and_where(
    tmp_path: Path, part: str, bad: NDArray[np.generic], said: str
) -> None:
    save(tmp_path / "shots", "a.png", flat(9, 9, 9))
    with np.load(io.BytesIO(pack(reduce_folder(tmp_path / "shots", SIZE, POWER).map))) as parts:
        numbers = dict(parts)
    for kept in ({**numbers, part: bad}, {key: one for key, one in numbers.items() if key != part}):
        buffer = io.BytesIO()
        np.savez(buffer, **kept)  # type: ignore[arg-type]
        with pytest.raises(FileFault) as caught:
            unpacked(buffer.getvalue(), "m.npz", SIZE)
        wanted = said if part in kept else f"it has no {part}"
        assert caught.value.problems[0].startswith(f"usage/m.npz: is no dose map of this panel ({wanted}")


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
