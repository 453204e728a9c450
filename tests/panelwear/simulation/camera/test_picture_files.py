"""TIFF, PNG and JPEG: the colours that were put in, and the tags a camera writes."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import pytest
import tifffile
from PIL import Image

from panelwear.simulation.camera.developing import developed, for_showing, tone_curve
from panelwear.simulation.camera.model import Sensor
from panelwear.simulation.camera.picture_files import jpeg_bytes, png_bytes, tiff_bytes
from tests.panelwear.simulation.camera.small import EXIF

COLOURS = np.random.default_rng(2).integers(0, 65536, (31, 47, 3)).astype(np.uint16)


def test_tiff_holds_all_16_bits() -> None:
    assert np.array_equal(tifffile.imread(io.BytesIO(tiff_bytes(COLOURS, EXIF))), COLOURS)


def test_png_holds_all_16_bits() -> None:
    data = png_bytes(COLOURS, EXIF)
    chunks, at = {}, 8
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        name, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        assert struct.unpack_from(">I", data, at + 8 + length) == (zlib.crc32(name + body),)
        chunks[name] = body
        at += 12 + length
    rows = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(31, -1)
    assert not rows[:, 0].any()  # no filter
    assert np.array_equal(rows[:, 1:].copy().view(">u2").reshape(31, 47, 3), COLOURS)
    with Image.open(io.BytesIO(data)) as read:  # Pillow reads the upper 8 bits
        assert np.array_equal(np.asarray(read), COLOURS >> 8)


@pytest.mark.parametrize("kind", ["TIFF", "PNG", "JPEG"])
def test_tags_are_those_of_the_exposure(kind: str) -> None:
    data = {"TIFF": tiff_bytes(COLOURS, EXIF), "PNG": png_bytes(COLOURS, EXIF),
            "JPEG": jpeg_bytes(for_showing(COLOURS), EXIF)}[kind]  # fmt: skip
    with Image.open(io.BytesIO(data)) as read:
        assert read.format == kind
        main, inner = read.getexif(), read.getexif().get_ifd(0x8769)
    assert (main[0x010F], main[0x0110], main[0x0112]) == ("simulated", "simulated camera", 1)
    assert (float(inner[0x829A]), float(inner[0x829D]), inner[0x8827], float(inner[0x920A])) == (0.25, 8.0, 100, 50.0)
    assert inner[0x9003] == "2026:01:05 18:30:12"
    assert inner[0x9011] == "+00:00"


def test_developing_leaves_seen_colours_and_fills_missing_ones_from_neighbours() -> None:
    sensor = Sensor(size_px=(40, 30), offset_dn=100, bits=14)
    span = sensor.white_dn - 100
    y, x = np.mgrid[:30, :40]
    raw = (100 + span * (0.2 + 0.005 * x + 0.002 * y)).astype(np.uint16)  # a plane: the mean of neighbours is exact
    seen = developed(raw, sensor, (1.0, 1.0, 1.0))[2:-2, 2:-2] / 65535
    wanted = (raw[2:-2, 2:-2, None] - 100.0) / span
    assert np.abs(seen - wanted).max() < 1.5 / span  # the raw numbers are whole
    balanced = developed(raw, sensor, (0.5, 1.0, 0.8))[2:-2, 2:-2] / 65535
    assert balanced == pytest.approx(np.minimum(wanted / [0.5, 1.0, 0.8], 1), abs=3 / span)


def test_the_tone_curve_rises_from_black_to_white_with_a_toe_and_a_shoulder() -> None:
    linear = np.linspace(0, 1, 2001)
    curve = tone_curve(linear)
    assert (curve[0], np.all(np.diff(curve) > 0)) == (0.0, True)
    assert curve[-1] == 1.0
    plain = linear ** (1 / 2.2)
    assert curve[1] < 0.6 * plain[1]  # toe
    slope = np.diff(curve) / np.diff(linear)
    assert slope[-1] < 0.35  # shoulder; the plain power has 0.45
