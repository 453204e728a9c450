"""What a camera writes into its files beside the picture."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL import Image

SOFTWARE = "panelwear, simulated"


@dataclass(frozen=True, slots=True)
class Exif:
    """The tags of one frame (Exif 2.32; names as in its tables)."""

    exposure_s: float
    f_number: float
    iso: int
    focal_mm: float
    taken: datetime
    """With its time zone."""
    make: str = "simulated"
    model: str = "simulated camera"


def main_tags(one: Exif) -> dict[int, Any]:
    """Return the tags of the first directory: make, model, orientation, software, date."""
    return {0x010F: one.make, 0x0110: one.model, 0x0112: 1, 0x0131: SOFTWARE, 0x0132: _date(one.taken)}


def exposure_tags(one: Exif) -> dict[int, Any]:
    """Return the tags of the Exif directory: exposure, aperture, sensitivity, date, focal length."""
    return {
        0x829A: _ratio(one.exposure_s),
        0x829D: _ratio(one.f_number),
        0x8827: one.iso,
        0x9003: _date(one.taken),
        0x9011: _zone(one.taken),
        0x920A: _ratio(one.focal_mm),
    }


def pillow_exif(one: Exif) -> Image.Exif:
    """Return the tags as Pillow puts them into JPEG and PNG."""
    from PIL import Image
    from PIL.TiffImagePlugin import IFDRational

    exif = Image.Exif()
    for tag, value in main_tags(one).items():
        exif[tag] = value
    inner = exif.get_ifd(0x8769)
    for tag, value in exposure_tags(one).items():
        inner[tag] = IFDRational(*value) if isinstance(value, tuple) else value
    return exif


def directory_bytes(one: Exif, offset: int) -> bytes:
    """Return the Exif directory as it stands at an offset of a little-endian TIFF file."""
    from PIL.TiffImagePlugin import IFDRational, ImageFileDirectory_v2

    directory = ImageFileDirectory_v2(prefix=b"II")
    for tag, value in exposure_tags(one).items():
        directory[tag] = IFDRational(*value) if isinstance(value, tuple) else value
    return directory.tobytes(offset)


def _ratio(value: float) -> tuple[int, int]:
    near = Fraction(value).limit_denominator(10_000)
    return near.numerator, near.denominator


def _date(taken: datetime) -> str:
    return taken.strftime("%Y:%m:%d %H:%M:%S")


def _zone(taken: datetime) -> str:
    plain = taken.strftime("%z") or "+0000"
    return f"{plain[:3]}:{plain[3:5]}"
