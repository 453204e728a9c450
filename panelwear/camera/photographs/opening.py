"""Photographs are opened: raw files by LibRaw, TIFF and PNG of 16 bits, JPEG for showing."""

from __future__ import annotations

import os
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.kinds import PhotoFile
from panelwear.camera.photographs.photograph import Colour, Photograph, Plane, Taken
from panelwear.camera.photographs.tags import OWN_FOLDER, taken_of
from panelwear.errors import UsageError
from panelwear.extras import needing

LARGEST_PIXELS = 200_000_000
"""Of a photograph: more than any camera's; a small file may claim to hold far more."""
SMALLEST_SIDE_PX = 200
NEAR_WHITE = 0.98
"""Share of the range above black from which a raw pixel counts as saturated: response bends before it ends."""
_FILTERS: dict[str, Colour] = {"R": "red", "G": "green", "B": "blue"}


def opened_photograph(file: PhotoFile) -> Photograph:
    """Open a photograph and return its planes.

    Raises:
        UsageError: it is damaged, too large, or not of a kind that can be measured.
    """
    if file.kind == "jpeg":
        return _jpeg(file)
    if file.kind == "png":
        return _png(file)
    if file.kind == "tiff":
        plain = _tiff(file)
        if plain is not None:
            return plain
    return _raw(file)


def _refuse_size(file: PhotoFile, width: int, height: int) -> None:
    if width * height > LARGEST_PIXELS:
        raise UsageError(f"{file.path}: {width} x {height} pixels are more than any photograph has")
    if min(width, height) < SMALLEST_SIDE_PX:
        raise UsageError(f"{file.path}: {width} x {height} pixels are too few for a photograph of a panel")


def _unreadable(file: PhotoFile, error: Exception) -> UsageError:
    why = getattr(error, "strerror", None) or str(error)[:200] or type(error).__name__
    return UsageError(f"{file.path}: is damaged, or of a kind that cannot be read ({why})")


def _raw(file: PhotoFile) -> Photograph:
    with needing("the camera"):
        import rawpy
    try:
        with rawpy.imread(os.fspath(file.path)) as raw:
            sizes = raw.sizes
            _refuse_size(file, sizes.width, sizes.height)
            pattern = raw.raw_pattern
            if raw.raw_type != rawpy.RawType.Flat or pattern is None or pattern.shape != (2, 2):
                raise UsageError(
                    f"{file.path}: its sensor has no filters of 2 x 2 pixels; wanted another camera's files"
                )
            cfa = raw.raw_image_visible.copy()
            # LibRaw tells black by colour index, not by place.
            indices = np.asarray(raw.raw_colors_visible[:2, :2])
            blacks, names = raw.black_level_per_channel, raw.color_desc.decode("ascii", "replace")
            white = float(raw.white_level)
            other = _of_libraw(raw.other)
    except UsageError:
        raise
    except (rawpy.LibRawError, OSError, ValueError, AttributeError, MemoryError, IndexError) as error:
        raise _unreadable(file, error) from None
    planes = []
    for top, left in np.ndindex(2, 2):
        colour = _FILTERS.get(names[int(indices[top, left])])
        if colour is None:
            raise UsageError(f"{file.path}: its filters are {names}; only red, green and blue can be read")
        black = float(blacks[int(indices[top, left])])
        near = black + NEAR_WHITE * (white - black)
        planes.append(Plane(colour, top, left, 2, cfa[top::2, left::2], black, near))
    taken = taken_of(other | (_tiff_tags(file) if file.kind == "tiff" else {}))
    return Photograph(file.path.name, file.sha256, (cfa.shape[1], cfa.shape[0]), tuple(planes), taken)


def _of_libraw(told: Any) -> dict[int, Any]:
    """Return what LibRaw found in a raw file, under the numbers the tags have."""
    moment = told.timestamp.strftime("%Y:%m:%d %H:%M:%S") if told.timestamp and told.timestamp.year > 1971 else None
    return {33434: told.shutter_speed, 33437: told.aperture, 34855: told.iso_speed, 37386: told.focal_length,
            306: moment}  # fmt: skip


def _tiff_tags(file: PhotoFile) -> dict[int, Any]:
    """Return the tags of the first page and of its own folder of tags; nothing of a file that has none."""
    with needing("the camera"):
        import tifffile
    try:
        with tifffile.TiffFile(os.fspath(file.path)) as tiff:
            tags = {tag.code: tag.value for tag in tiff.pages.first.tags}
            inner = tags.get(OWN_FOLDER)
            if isinstance(inner, dict):
                names = {name: code for code, name in tifffile.TIFF.EXIF_TAGS.items() if isinstance(code, int)}
                tags |= {names[name]: value for name, value in inner.items() if name in names}
            return tags
    except Exception:  # a stranger's file may break the reader anywhere; without its tags it can still be read
        return {}


def _tiff(file: PhotoFile) -> Photograph | None:
    """Open a TIFF of 16 bits in grey or colour; ``None`` where it is a raw file."""
    with needing("the camera"):
        import tifffile
    try:
        with tifffile.TiffFile(os.fspath(file.path)) as tiff:
            page = tiff.pages.first
            is_raw = 50706 in page.tags or int(page.photometric) not in {1, 2}
            if is_raw or page.dtype != np.uint16 or len(page.shape) not in {2, 3}:
                return None
            _refuse_size(file, page.imagewidth, page.imagelength)
            pixels = page.asarray()
    except UsageError:
        raise
    except Exception as error:  # its readers raise what they like on a damaged file
        raise _unreadable(file, error) from None
    return _of_pixels(file, pixels, taken_of(_tiff_tags(file)), 65535)


def _png(file: PhotoFile) -> Photograph:
    """Open a PNG of 16 bits in grey: Pillow makes 8 bits of one in colour, which would lose what is looked for."""
    picture, taken = _by_pillow(file)
    if picture.dtype == np.uint8:
        raise UsageError(
            f"{file.path}: a PNG of 8 bits, or in colour, cannot be measured; wanted raw files, TIFF of 16 bits, or PNG"
            " of 16 bits in grey"
        )
    return _of_pixels(file, picture.astype(np.uint16), taken, 65535)


def _jpeg(file: PhotoFile) -> Photograph:
    pixels, taken = _by_pillow(file)
    found = _of_pixels(file, pixels, taken, 255)
    planes = tuple(Plane(p.colour, 0, 0, 1, p.stored, 0.0, 252.0, srgb_light()) for p in found.planes)
    return Photograph(found.name, found.sha256, found.size_px, planes, taken, for_showing=True)


def srgb_light() -> NDArray[np.float32]:
    """Return light for each number of 8 bits as IEC 61966-2-1 has it, until a staircase tells better."""
    code = np.arange(256) / 255
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4).astype(np.float32)


def _by_pillow(file: PhotoFile) -> tuple[NDArray[Any], Taken]:
    from PIL import Image

    try:
        with Image.open(file.path, formats=("JPEG", "PNG")) as picture:
            _refuse_size(file, picture.width, picture.height)
            exif = picture.getexif()
            tags = {**exif, **exif.get_ifd(OWN_FOLDER)}
            wide = picture.mode.startswith("I")
            return np.asarray(picture if wide or picture.mode in {"L", "RGB"} else picture.convert("RGB")), taken_of(
                tags
            )
    except (OSError, ValueError, SyntaxError, MemoryError, Image.DecompressionBombError) as error:
        raise _unreadable(file, error) from None


def _of_pixels(file: PhotoFile, pixels: NDArray[Any], taken: Taken, most: int) -> Photograph:
    if pixels.ndim == 3 and pixels.shape[2] not in {3, 4}:
        raise UsageError(f"{file.path}: has {pixels.shape[2]} numbers a pixel; wanted grey, or red, green and blue")
    names: tuple[Colour, ...] = ("green",) if pixels.ndim == 2 else ("red", "green", "blue")
    each = [pixels] if pixels.ndim == 2 else [pixels[..., n] for n in range(3)]
    near = NEAR_WHITE * most
    planes = tuple(Plane(name, 0, 0, 1, one, 0.0, near) for name, one in zip(names, each, strict=True))
    return Photograph(file.path.name, file.sha256, (pixels.shape[1], pixels.shape[0]), planes, taken)
