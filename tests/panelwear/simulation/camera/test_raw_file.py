"""DNG files: LibRaw gives back what was written, number for number."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
import rawpy

from panelwear.simulation.camera.model import Bayer, Sensor
from panelwear.simulation.camera.raw_file import dng_bytes
from tests.panelwear.simulation.camera.small import EXIF, TAKEN


@pytest.mark.parametrize("bayer", get_args(Bayer))
@pytest.mark.parametrize("size", [(22, 22), (151, 97), (640, 400)])
@pytest.mark.parametrize("bits", [12, 14, 16])
def test_libraw_reads_it_back_equal(bayer: Bayer, size: tuple[int, int], bits: int) -> None:
    sensor = Sensor(size_px=size, bayer=bayer, bits=bits, offset_dn=64, gain_dn_per_e=2.0**bits / 40_000)
    raw = np.random.default_rng(1).integers(0, 2**bits, (size[1], size[0])).astype(np.uint16)
    with rawpy.imread(io.BytesIO(dng_bytes(raw, sensor, EXIF))) as read:
        assert np.array_equal(read.raw_image_visible, raw)
        assert read.black_level_per_channel == [64] * 4
        assert read.white_level == sensor.white_dn
        assert read.raw_type == rawpy.RawType.Flat
        colours = np.array(list(read.color_desc.decode("ascii")))[read.raw_pattern]
    assert "".join(colours.ravel()) == bayer


def test_libraw_finds_exposure_aperture_and_date_in_it() -> None:
    raw = np.zeros((40, 60), dtype=np.uint16)
    exif = replace(EXIF, exposure_s=1 / 60, f_number=5.6, focal_mm=85.0, iso=200)
    with rawpy.imread(io.BytesIO(dng_bytes(raw, Sensor(size_px=(60, 40)), exif, (0.5, 1.0, 0.64)))) as read:
        told = read.other
        assert told.shutter_speed == pytest.approx(1 / 60)
        assert (told.aperture, told.focal_length) == pytest.approx((5.6, 85.0))
        assert told.iso_speed == 200
        assert told.timestamp == TAKEN.replace(tzinfo=None)
        assert read.camera_whitebalance[:3] == pytest.approx([1 / 0.5, 1, 1 / 0.64], rel=1e-3)
