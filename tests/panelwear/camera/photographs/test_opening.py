"""Photographs are opened as their files have them; what is damaged, or cannot be measured, is a sentence."""

from __future__ import annotations

import io
import struct
import zlib
from datetime import datetime

import numpy as np
import pytest
import tifffile
from PIL import Image

from panelwear.camera.photographs import kinds
from panelwear.camera.photographs.kinds import photo_file
from panelwear.camera.photographs.opening import opened_photograph
from panelwear.camera.photographs.photograph import Photograph, Taken, green_picture
from panelwear.camera.photographs.tags import taken_of
from panelwear.errors import UsageError

CFA = np.random.default_rng(2).integers(100, 5000, (240, 320)).astype(np.uint16)
BAYER = {"RGGB": (0, 1, 1, 2), "BGGR": (2, 1, 1, 0), "GRBG": (1, 0, 2, 1), "GBRG": (1, 2, 0, 1)}
TAGS = [
    (271, "s", 0, "maker", False), (272, "s", 0, "maker 7", False), (33434, "2I", 1, (1, 4), False),
    (33437, "2I", 1, (56, 10), False), (34855, "H", 1, 200, False), (37386, "2I", 1, (50, 1), False),
    (36867, "s", 0, "2026:02:03 10:11:12", False),
]  # fmt: skip


def dng(path, bayer="RGGB", blacks=(64, 65, 66, 67), cfa=CFA):
    tags = [(50706, "B", 4, (1, 4, 0, 0), False), (33421, "H", 2, (2, 2), False),
            (33422, "B", 4, BAYER[bayer], False), (50713, "H", 2, (2, 2), False),
            (50714, "H", 4, blacks, False), (50717, "I", 1, 16383, False), *TAGS]  # fmt: skip
    tifffile.imwrite(
        path, cfa, photometric=32803, planarconfig=1, compression=None, metadata=None, software=False, subfiletype=0,
        rowsperstrip=cfa.shape[0], extratags=tags,
    )  # fmt: skip
    return path


def read(path) -> Photograph:
    return opened_photograph(photo_file(path))


@pytest.mark.parametrize("bayer", list(BAYER))
def test_black_is_taken_off_by_place_whatever_the_order_of_colours(tmp_path, bayer):
    """LibRaw tells black by colour index: 64, 65, 66, 67 of an RGGB file read as 64, 65, 67, 66.

    Source: tests/references/camera.md, black of raw files; computed.
    """
    photo = read(dng(tmp_path / "a.dng", bayer))
    assert photo.size_px == (320, 240) and not photo.for_showing
    names = {"R": "red", "G": "green", "B": "blue"}
    assert [plane.colour for plane in photo.planes] == [names[letter] for letter in bayer]
    for plane, black in zip(photo.planes, (64, 65, 66, 67), strict=True):
        np.testing.assert_array_equal(plane.light(), CFA[plane.top :: 2, plane.left :: 2].astype(np.float32) - black)
        assert plane.white == pytest.approx(black + 0.98 * (16383 - black))


def test_a_raw_file_tells_how_it_was_taken(tmp_path):
    taken = read(dng(tmp_path / "a.dng")).taken
    assert taken == Taken("maker 7", "", 0.25, 5.6, 200.0, 50.0, datetime(2026, 2, 3, 10, 11, 12))
    assert taken.set_up == "maker 7, 50 mm, f/5.6"
    assert taken.sensitivity == pytest.approx(0.25 * 200 / 5.6**2)


def test_tags_that_make_no_sense_are_left_out():
    odd = {33434: (1, 0), 33437: "wide", 34855: -5, 37386: float("nan"), 36867: "yesterday", 271: b"\x07a\x1bb", 272: 5}
    assert taken_of(odd) == Taken("ab")
    assert taken_of({33434: (10, 25)}).exposure_s == 0.4


def test_tiff_in_colour_is_read_as_it_is(tmp_path):
    pixels = np.stack([CFA, CFA + 1, CFA + 2], axis=-1)
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", compression="zlib")
    photo = read(tmp_path / "a.tif")
    assert [plane.colour for plane in photo.planes] == ["red", "green", "blue"]
    np.testing.assert_array_equal(photo.planes[2].stored, CFA + 2)
    picture, pitch = green_picture(photo)
    assert pitch == 1 and picture[5, 7] == CFA[5, 7] + 1


def test_tiff_with_one_colour_after_the_other_is_read_too(tmp_path):
    pixels = np.stack([CFA, CFA + 1, CFA + 2])
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", planarconfig="separate")
    np.testing.assert_array_equal(read(tmp_path / "a.tif").planes[1].stored, CFA + 1)


def test_tiff_of_8_bits_says_what_is_wanted(tmp_path):
    tifffile.imwrite(tmp_path / "a.tif", (CFA // 20).astype(np.uint8), photometric="minisblack")
    with pytest.raises(UsageError, match="a TIFF of uint8 cannot be measured; wanted raw files, or TIFF or PNG of 16"):
        read(tmp_path / "a.tif")


def test_png_in_grey_is_read_and_of_8_bits_refused(tmp_path):
    Image.fromarray(CFA).save(tmp_path / "a.png")
    np.testing.assert_array_equal(read(tmp_path / "a.png").planes[0].stored, CFA)
    for name, picture in (("b", CFA // 20), ("c", np.stack([CFA // 20] * 3, axis=-1))):
        Image.fromarray(picture.astype(np.uint8)).save(tmp_path / f"{name}.png")
        with pytest.raises(UsageError, match=rf"{name}\.png: a PNG of 8 bits, .* cannot be measured"):
            read(tmp_path / f"{name}.png")


def filtered(rows: np.ndarray, wide: int, seed: int = 5) -> bytes:
    """Filter each row one of five ways, as PNG (W3C 2003, section 9) has them; written here, apart from any reader."""
    out, before = [], np.zeros(rows.shape[1], int)
    for row, kind in zip(rows.astype(int), np.random.default_rng(seed).integers(0, 5, len(rows)), strict=True):
        left = np.concatenate([np.zeros(wide, int), row[:-wide]])
        corner = np.concatenate([np.zeros(wide, int), before[:-wide]])
        near = left + before - corner
        apart = np.abs(np.stack([near - left, near - before, near - corner]))
        paeth = np.choose(apart.argmin(axis=0), [left, before, corner])
        guess = (0 * row, left, before, (left + before) // 2, paeth)[kind]
        out.append(bytes([kind]) + ((row - guess) % 256).astype(np.uint8).tobytes())
        before = row
    return b"".join(out)


def wide_png(path, pixels: np.ndarray):
    high, across, colours = pixels.shape
    rows = pixels.astype(">u2").view(np.uint8).reshape(high, -1)
    head = struct.pack(">IIBBBBB", across, high, 16, {3: 2, 4: 6, 2: 4}[colours], 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(filtered(rows, 2 * colours))), (b"IEND", b""))
    chunks = [struct.pack(">I", len(d)) + n + d + struct.pack(">I", zlib.crc32(n + d)) for n, d in parts]
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(chunks))
    return path


@pytest.mark.parametrize("colours", [3, 4])
def test_png_of_16_bits_in_colour_keeps_every_bit(tmp_path, colours):
    pixels = np.random.default_rng(8).integers(0, 65536, (210, 230, colours)).astype(np.uint16)
    photo = read(wide_png(tmp_path / "a.png", pixels))
    assert [plane.colour for plane in photo.planes] == ["red", "green", "blue"] and not photo.for_showing
    for n, plane in enumerate(photo.planes):
        np.testing.assert_array_equal(plane.stored, pixels[..., n])


def test_png_of_16_bits_in_grey_with_transparency_is_a_sentence(tmp_path):
    with pytest.raises(UsageError, match="in grey with transparency, cannot be measured"):
        read(wide_png(tmp_path / "a.png", np.zeros((210, 230, 2), np.uint16)))


def test_jpeg_is_for_showing_with_the_light_of_srgb(tmp_path):
    Image.fromarray(np.full((240, 320, 3), 188, np.uint8)).save(tmp_path / "a.jpg", quality=95)
    photo = read(tmp_path / "a.jpg")
    assert photo.for_showing
    # IEC 61966-2-1: ((188 / 255 + 0.055) / 1.055) ** 2.4
    assert float(photo.planes[1].light().mean()) == pytest.approx(0.5029, abs=0.01)


@pytest.mark.parametrize("kept", [0.2, 0.7])
def test_a_cut_raw_file_is_a_sentence(tmp_path, kept):
    path = dng(tmp_path / "a.dng")
    data = path.read_bytes()
    path.write_bytes(data[: int(kept * len(data))])
    with pytest.raises(UsageError, match=r"a\.dng: ends before its pixels do; copy it from the camera once more"):
        read(path)


@pytest.mark.parametrize("kind", ["jpg", "png", "tif"])
def test_a_cut_picture_is_a_sentence(tmp_path, kind):
    out = io.BytesIO()
    if kind == "tif":
        tifffile.imwrite(out, np.stack([CFA] * 3, axis=-1), photometric="rgb")
    else:
        pixels = CFA if kind == "png" else (CFA // 20).astype(np.uint8)
        Image.fromarray(pixels).save(out, {"jpg": "JPEG", "png": "PNG"}[kind])
    (tmp_path / "a").write_bytes(out.getvalue()[: len(out.getvalue()) // 2])
    with pytest.raises(UsageError, match="is damaged, or of a kind that cannot be read"):
        read(tmp_path / "a")


def test_what_claims_too_many_pixels_is_not_opened(tmp_path, monkeypatch):
    monkeypatch.setattr(kinds, "LARGEST_PIXELS", 1000)
    for name in ("a.dng", "a.png"):
        path = tmp_path / name
        dng(path) if name == "a.dng" else Image.fromarray(CFA).save(path)
        with pytest.raises(UsageError, match="320 x 240 pixels are more than any photograph has"):
            read(path)


def test_noise_bytes_are_a_sentence(tmp_path):
    (tmp_path / "a.raw").write_bytes(np.random.default_rng(1).bytes(5000))
    with pytest.raises(UsageError, match="is damaged, or of a kind that cannot be read"):
        read(tmp_path / "a.raw")
