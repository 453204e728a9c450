"""Photographs are opened: raw files by LibRaw, TIFF and PNG of 16 bits, JPEG for showing."""

from __future__ import annotations

from panelwear.camera.photographs.kinds import PhotoFile
from panelwear.camera.photographs.photograph import Photograph
from panelwear.camera.photographs.raster import opened_jpeg, opened_png, opened_tiff
from panelwear.camera.photographs.raw_files import opened_raw


def opened_photograph(file: PhotoFile) -> Photograph:
    """Open a photograph and return its planes.

    Raises:
        UsageError: it is damaged, too large, or not of a kind that can be measured.
    """
    if file.kind == "jpeg":
        return opened_jpeg(file)
    if file.kind == "png":
        return opened_png(file)
    if file.kind == "tiff":
        plain = opened_tiff(file)
        if plain is not None:
            return plain
    return opened_raw(file)
