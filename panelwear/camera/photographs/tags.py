"""How a photograph was taken, out of the tags its file carries.

Raw files that are TIFF inside (DNG and most makers' own) and JPEG carry the same tags (Exif 2.32, from memory), read by
tifffile and by Pillow's ``getexif``; of raw files of other kinds LibRaw tells what it found. Whichever reads them, tags
are what a stranger's file says: each is taken only where it is a number of its kind.
"""

from __future__ import annotations

import math
import os
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from panelwear.camera.photographs.kinds import PhotoFile
from panelwear.camera.photographs.photograph import Taken
from panelwear.extras import needing

MAKE, MODEL, MOMENT = 271, 272, 306
EXPOSURE, APERTURE, ISO, ORIGINAL, FOCAL, LENS = 33434, 33437, 34855, 36867, 37386, 42036
FOCAL_35 = 41989
"""Focal length in 35 mm film; Exif 2.32, from memory."""
PART_OF_SECOND = 37521
OWN_FOLDER = 34665
"""Tag of the folder of tags that holds the others."""
LONGEST_TEXT = 80


def taken_of(tags: Mapping[int, Any]) -> Taken:
    """Return what the tags say; what makes no sense is left out."""
    make, model = _text(tags.get(MAKE)), _text(tags.get(MODEL))
    return Taken(
        camera=model if make and model.startswith(make) else " ".join(filter(None, (make, model))),
        lens=_text(tags.get(LENS)),
        exposure_s=_number(tags.get(EXPOSURE), 1e5),
        aperture=_number(tags.get(APERTURE), 1e3),
        iso=_number(tags.get(ISO), 1e8),
        focal_mm=_number(tags.get(FOCAL), 1e5),
        focal_35_mm=_number(tags.get(FOCAL_35), 1e5),
        at=_moment(tags),
    )


def tiff_reader() -> Any:
    """Return the library that reads TIFF; what it thinks of a stranger's tags goes to nobody's terminal."""
    import logging

    with needing("the camera"):
        import tifffile
    logging.getLogger("tifffile").setLevel(logging.CRITICAL + 1)
    return tifffile


def tiff_tags(file: PhotoFile, photometric: int | None = None) -> dict[int, Any]:
    """Return the tags of the first page and of its own folder of tags; nothing of a file that has none.

    Args:
        file: a TIFF, or a raw file that is one inside.
        photometric: add the tags of the first page of this kind, which may lie in a folder within the first page.
    """
    tifffile = tiff_reader()
    try:
        with tifffile.TiffFile(os.fspath(file.path)) as tiff:
            first = tiff.pages.first
            inside = [first, *(first.pages or ())] if photometric is not None else []
            of_kind = next((page for page in inside if _photometric(page) == photometric), first)
            tags = {tag.code: tag.value for page in (first, of_kind) for tag in page.tags}
            inner = tags.get(OWN_FOLDER)
            if isinstance(inner, dict):
                names = {name: code for code, name in tifffile.TIFF.EXIF_TAGS.items() if isinstance(code, int)}
                tags |= {names[name]: value for name, value in inner.items() if name in names}
            return tags
    except Exception:  # a stranger's file may break the reader anywhere; without its tags it can still be read
        return {}


def _photometric(page: Any) -> int | None:
    value = getattr(page, "photometric", None)
    return None if value is None else int(value)


def _text(value: Any) -> str:
    words = value.decode("ascii", "replace") if isinstance(value, bytes) else value
    kept = "".join(letter for letter in words if letter.isprintable()) if isinstance(words, str) else ""
    return kept.strip()[:LONGEST_TEXT]


def _number(value: Any, most: float) -> float | None:
    """Read a number, a fraction as two numbers, or the first of several."""
    try:
        if isinstance(value, tuple | list):
            value = value[0] / value[1] if len(value) == 2 else value[0]
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, IndexError, OverflowError):
        return None
    return number if math.isfinite(number) and 0 < number < most else None


def _moment(tags: Mapping[int, Any]) -> datetime | None:
    for tag in (ORIGINAL, MOMENT):
        try:
            found = datetime.strptime(_text(tags.get(tag)), "%Y:%m:%d %H:%M:%S")
        except ValueError:
            continue
        part = _text(tags.get(PART_OF_SECOND)) if tag == ORIGINAL else ""
        return found.replace(microsecond=int(f"{part:0<6}"[:6]) if part.isascii() and part.isdigit() else 0)
    return None
