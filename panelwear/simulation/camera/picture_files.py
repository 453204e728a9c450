"""Developed frames as files: TIFF and PNG of 16 bits, and the JPEG a camera makes by itself."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.camera.exif import Exif, pillow_exif
from panelwear.simulation.camera.raw_file import tiff_tags, with_exif

JPEG_QUALITY = 93


def tiff_bytes(colours: NDArray[np.uint16], exif: Exif) -> bytes:
    """Return linear colours as a TIFF file of 16 bits."""
    import tifffile

    out = io.BytesIO()
    tifffile.imwrite(
        out, colours, photometric="rgb", metadata=None, software=False, byteorder="<", extratags=tiff_tags(exif)
    )
    return with_exif(out, exif)


def png_bytes(linear: NDArray[np.uint16], exif: Exif) -> bytes:
    """Return linear grey ``(height, width)`` or colours as a PNG file of 16 bits with an eXIf chunk (PNG, W3C 2025).

    Pillow writes no colours of 16 bits, so the four chunks are put together here.
    """
    height, width = linear.shape[:2]
    rows = np.zeros((height, 1 + linear[0].nbytes), dtype=np.uint8)  # each row begins with its filter: 0, none
    rows[:, 1:] = linear.astype(">u2").view(np.uint8).reshape(height, -1)
    head = struct.pack(">IIBBBBB", width, height, 16, 2 if linear.ndim == 3 else 0, 0, 0, 0)
    tags = pillow_exif(exif).tobytes().removeprefix(b"Exif\0\0")
    chunks = ((b"IHDR", head), (b"eXIf", tags), (b"IDAT", zlib.compress(rows.tobytes(), 1)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(name, data) for name, data in chunks)


def jpeg_bytes(shown: NDArray[np.uint8], exif: Exif) -> bytes:
    """Return 8-bit colours as a JPEG file."""
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(shown).save(out, "JPEG", quality=JPEG_QUALITY, subsampling=0, exif=pillow_exif(exif))
    return out.getvalue()


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
