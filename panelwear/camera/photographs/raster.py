"""Pictures that were developed already: TIFF and PNG of 16 bits, JPEG for showing."""

from __future__ import annotations

import os
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.kinds import PhotoFile, refuse_size, unreadable
from panelwear.camera.photographs.photograph import Colour, Photograph, Plane, Taken
from panelwear.camera.photographs.tags import OWN_FOLDER, taken_of, tiff_reader, tiff_tags
from panelwear.errors import UsageError

NEAR_WHITE = 0.98
"""Share of the range from which a number counts as saturated."""
WANTED = "wanted raw files, or TIFF or PNG of 16 bits, in grey or colour"


def opened_tiff(file: PhotoFile) -> Photograph | None:
    """Open a TIFF of 16 bits in grey or colour; ``None`` where it is a raw file.

    Raises:
        UsageError: it is damaged, too large, or of other numbers.
    """
    tifffile = tiff_reader()
    try:
        with tifffile.TiffFile(os.fspath(file.path)) as tiff:
            page = tiff.pages.first
            if 50706 in page.tags or int(page.photometric) not in {1, 2} or _holds_raw(page):
                return None
            if page.dtype != np.uint16 or len(page.shape) not in {2, 3}:
                raise UsageError(f"{file.path}: a TIFF of {page.dtype} cannot be measured; {WANTED}")
            refuse_size(file, page.imagewidth, page.imagelength)
            pixels = page.asarray()
            if pixels.ndim == 3 and int(page.planarconfig) == 2:  # one colour after the other
                pixels = np.moveaxis(pixels, 0, -1)
    except UsageError:
        raise
    except Exception as error:  # its readers raise what they like on a damaged file
        raise unreadable(file, error) from None
    return _of_pixels(file, pixels, taken_of(tiff_tags(file)), 65535)


def _holds_raw(page: Any) -> bool:
    """Tell a raw file's preview: few bits, and a maker's name or folders of their own for the sensor's numbers."""
    return page.dtype != np.uint16 and (330 in page.tags or 271 in page.tags)


def opened_png(file: PhotoFile) -> Photograph:
    """Open a PNG of 16 bits in grey or colour.

    Raises:
        UsageError: it is damaged, too large, or has 8 bits.
    """
    from PIL import Image

    try:
        with Image.open(file.path, formats=("PNG",)) as picture:
            refuse_size(file, picture.width, picture.height)
            # Looking for tags loads the picture, and nothing tells any more how it is packed.
            packed = str(picture.tile[0][3]) if picture.tile else ""
            taken = _taken(picture)
            if picture.mode.startswith("I"):
                return _of_pixels(file, np.asarray(picture).astype(np.uint16), taken, 65535)
        if packed not in _WIDE:
            raise UsageError(
                f"{file.path}: a PNG of 8 bits, or in grey with transparency, cannot be measured; {WANTED}"
            )
        high, low = (_bytes_of(file, part) for part in (packed, _WIDE[packed]))
    except UsageError:
        raise
    except (OSError, ValueError, SyntaxError, MemoryError, Image.DecompressionBombError) as error:
        raise unreadable(file, error) from None
    return _of_pixels(file, high.astype(np.uint16) << 8 | low, taken, 65535)


_WIDE = {"RGB;16B": "RGB;16L", "RGBA;16B": "RGBA;16L"}
"""Pillow keeps of a colour of 16 bits the byte that comes first (``B``) or second (``L``), so it is read twice."""


def _bytes_of(file: PhotoFile, packed: str) -> NDArray[np.uint8]:
    from PIL import Image

    with Image.open(file.path, formats=("PNG",)) as picture:
        first: Any = picture.tile[0]
        again: Any = first._replace(args=packed) if hasattr(first, "_replace") else (*first[:3], packed)
        picture.tile = [again]
        return np.asarray(picture)


def opened_jpeg(file: PhotoFile) -> Photograph:
    """Open a JPEG: for showing, with the light of sRGB until a staircase tells better.

    Raises:
        UsageError: it is damaged or too large.
    """
    from PIL import Image

    try:
        with Image.open(file.path, formats=("JPEG",)) as picture:
            refuse_size(file, picture.width, picture.height)
            taken = _taken(picture)
            pixels = np.asarray(picture if picture.mode in {"L", "RGB"} else picture.convert("RGB"))
    except (OSError, ValueError, SyntaxError, MemoryError, Image.DecompressionBombError) as error:
        raise unreadable(file, error) from None
    found = _of_pixels(file, pixels, taken, 255)
    planes = tuple(Plane(p.colour, 0, 0, 1, p.stored, 0.0, 252.0, srgb_light()) for p in found.planes)
    return Photograph(found.name, found.sha256, found.size_px, planes, taken, for_showing=True)


def srgb_light(most: int = 255) -> NDArray[np.float32]:
    """Return light for each number up to ``most`` as IEC 61966-2-1 has it, until a staircase tells better."""
    code = np.arange(most + 1) / most
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4).astype(np.float32)


def as_made_for_screens(photo: Photograph) -> Photograph | None:
    """Return a developed picture of 16 bits with its numbers taken for those of sRGB; ``None`` for all others.

    Nothing in a file says surely whether its numbers are linear in light: which it is shows in what fits its shots.
    """
    if len(photo.planes) == 4 or photo.for_showing:
        return None
    curve = srgb_light(65535)
    return photo.with_curves({plane.colour: curve for plane in photo.planes})


def _taken(picture: Any) -> Taken:
    """Return how it was taken; a stranger's tags may break their reader, and the picture is read without them."""
    try:
        exif = picture.getexif()
        return taken_of({**exif, **exif.get_ifd(OWN_FOLDER)})
    except Exception:
        return Taken()


def _of_pixels(file: PhotoFile, pixels: NDArray[Any], taken: Taken, most: int) -> Photograph:
    if pixels.ndim == 3 and pixels.shape[2] not in {3, 4}:
        raise UsageError(f"{file.path}: has {pixels.shape[2]} numbers a pixel; wanted grey, or red, green and blue")
    names: tuple[Colour, ...] = ("green",) if pixels.ndim == 2 else ("red", "green", "blue")
    each = [pixels] if pixels.ndim == 2 else [pixels[..., n] for n in range(3)]
    near = NEAR_WHITE * most
    planes = tuple(Plane(name, 0, 0, 1, one, 0.0, near) for name, one in zip(names, each, strict=True))
    return Photograph(file.path.name, file.sha256, (pixels.shape[1], pixels.shape[0]), planes, taken)
