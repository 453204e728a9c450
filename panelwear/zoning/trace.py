"""A picture of the usual desktop, read, turned upright, made grey and fitted to the panel's pixels."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np

from groundwork.files import content
from panelwear.errors import UsageError
from panelwear.screen.desk import Backdrop
from panelwear.zoning.rects import Size

LARGEST_PIXELS = 120_000_000
"""Of a picture that is opened: more than any camera's; a small file may claim to hold far more."""


def traced(path: Path, panel: Size) -> tuple[Backdrop, str]:
    """Read a picture to trace from; returns it and what to know of it (empty: it has the panel's own pixels).

    Args:
        path: PNG or JPEG.
        panel: pixels across and down.

    Raises:
        UsageError: it is no such picture.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(content(path)), formats=("PNG", "JPEG")) as opened:
            if opened.width * opened.height > LARGEST_PIXELS:
                raise UsageError(f"--trace {path}: {opened.width} x {opened.height} pixels are too many to trace from")
            grey = ImageOps.exif_transpose(opened).convert("L")
    except UnidentifiedImageError:
        raise UsageError(f"--trace {path}: is no PNG or JPEG picture") from None
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise UsageError(f"--trace {path}: cannot be read ({getattr(error, 'strerror', None) or error})") from None
    found = grey.size
    fitted = ImageOps.pad(grey, panel, Image.Resampling.LANCZOS, color=0) if found != panel else grey
    return Backdrop(np.array(fitted, dtype=np.uint8)), _told(found, panel)


def _told(found: Size, panel: Size) -> str:
    if found == panel:
        return ""
    alike = abs(found[0] / found[1] * panel[1] / panel[0] - 1) < 0.01
    shape = "" if alike else ", and of another shape: it was fitted whole, and what lies beside it is black"
    return (
        f"The picture beneath has {found[0]} x {found[1]} pixels, the panel {panel[0]} x {panel[1]}{shape}; "
        "edges traced from it may be some pixels off."
    )
