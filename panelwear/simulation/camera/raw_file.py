"""Raw files: what a sensor holds as DNG (Adobe DNG 1.4, from its tables), which LibRaw reads back equal."""

from __future__ import annotations

import io
import struct
from typing import Any

from panelwear.simulation.camera.exif import Exif, directory_bytes, main_tags
from panelwear.simulation.camera.model import Sensor, filter_index
from panelwear.simulation.camera.noise import Raw

_EXIF = 34665
_PLACE = 34664
"""Stands in the directory until the Exif directory's place is known: tifffile writes no tag 34665."""
_CFA = 32803
# A camera's own colours to XYZ are not what this program looks at; raw converters want to find a matrix.
_COLOUR_MATRIX = (14000, -3500, -1200, -4500, 12500, 2200, -800, 1900, 6500)


def dng_bytes(raw: Raw, sensor: Sensor, exif: Exif, balance: tuple[float, float, float] = (1.0, 1.0, 1.0)) -> bytes:
    """Return a frame as a DNG file.

    Args:
        raw: ``(height, width)`` uint16, as the sensor gives it.
        sensor: its filters, black and white level.
        exif: what the camera says of the frame.
        balance: what white gives behind red, green and blue, relative to green (AsShotNeutral).
    """
    import tifffile

    out = io.BytesIO()
    tifffile.imwrite(
        out,
        raw,
        photometric=_CFA,
        planarconfig=1,
        compression=None,
        metadata=None,
        software=False,
        subfiletype=0,
        rowsperstrip=raw.shape[0],
        byteorder="<",
        extratags=[*_raw_tags(sensor, balance), *tiff_tags(exif)],
    )
    return with_exif(out, exif)


def _raw_tags(sensor: Sensor, balance: tuple[float, float, float]) -> list[tuple[Any, ...]]:
    filters = tuple(int(one) for one in filter_index(sensor.bayer).ravel())
    matrix = tuple(part for number in _COLOUR_MATRIX for part in (number, 10_000))
    neutral = tuple(part for number in balance for part in (round(number * 10_000), 10_000))
    return [
        (50706, "B", 4, (1, 4, 0, 0), False),  # DNGVersion
        (50707, "B", 4, (1, 1, 0, 0), False),  # DNGBackwardVersion
        (50708, "s", 0, "simulated camera", False),  # UniqueCameraModel
        (33421, "H", 2, (2, 2), False),  # CFARepeatPatternDim
        (33422, "B", 4, filters, False),  # CFAPattern
        (50713, "H", 2, (2, 2), False),  # BlackLevelRepeatDim: without it BlackLevel is taken as 0
        (50714, "H", 4, (sensor.offset_dn,) * 4, False),  # BlackLevel
        (50717, "I", 1, sensor.white_dn, False),  # WhiteLevel
        (50721, "2i", 9, matrix, False),  # ColorMatrix1
        (50728, "2I", 3, neutral, False),  # AsShotNeutral
        (50778, "H", 1, 21, False),  # CalibrationIlluminant1: D65
    ]


def tiff_tags(exif: Exif) -> list[tuple[Any, ...]]:
    """Return make, model, date and the place of the Exif directory as tifffile takes them."""
    tags: list[tuple[Any, ...]] = [
        (tag, "s", 0, value, False) if isinstance(value, str) else (tag, "H", 1, value, False)
        for tag, value in main_tags(exif).items()
    ]
    return [*tags, (_PLACE, "I", 1, 0, False)]


def with_exif(written: io.BytesIO, exif: Exif) -> bytes:
    """Put the Exif directory behind a little-endian TIFF file, and its place into the file's first directory."""
    end = written.seek(0, io.SEEK_END)
    place = end + end % 2
    with written.getbuffer() as whole:
        (first,) = struct.unpack_from("<I", whole, 4)
        (count,) = struct.unpack_from("<H", whole, first)
        for entry in range(first + 2, first + 2 + 12 * count, 12):
            if struct.unpack_from("<H", whole, entry) == (_PLACE,):
                struct.pack_into("<HHII", whole, entry, _EXIF, 4, 1, place)
    written.write(b"\0" * (end % 2) + directory_bytes(exif, place))
    return written.getvalue()
