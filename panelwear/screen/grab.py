"""Taking what the display server holds: a surface read back proves nothing, a grab does."""

from __future__ import annotations

import os
import shutil
import subprocess

import numpy as np

from panelwear.errors import ScreenFault
from patterns.frame import Picture


def grab(box: tuple[int, int, int, int] | None, *, wayland: bool = False) -> Picture:
    """Return the pixels the display server holds in a box (x, y, w, h) of the whole desktop; ``None``: all of it.

    Raises:
        ScreenFault: no way to grab works here.
    """
    tried: list[str] = []
    for way in (_by_wayland_tool,) if wayland else (_by_pillow, _by_import):
        try:
            picture = way()
        except (OSError, ValueError, subprocess.SubprocessError, ImportError) as error:
            tried.append(str(error))
            continue
        if box is None:
            return picture
        x, y, w, h = box
        return np.ascontiguousarray(picture[y : y + h, x : x + w])
    raise ScreenFault(f"what the display server holds cannot be read here ({'; '.join(tried)})")


def _by_pillow() -> Picture:
    from PIL import ImageGrab

    display = os.environ.get("DISPLAY") if os.name != "nt" else None
    image = ImageGrab.grab(all_screens=True, xdisplay=display) if os.name == "nt" else ImageGrab.grab(xdisplay=display)
    return np.asarray(image.convert("RGB"), dtype=np.uint8)


def _by_import() -> Picture:
    tool = shutil.which("import")
    if tool is None:
        raise OSError("ImageMagick's import is not installed")
    done = subprocess.run(
        [tool, "-window", "root", "-depth", "8", "ppm:-"], capture_output=True, timeout=60, check=True
    )
    return read_ppm(done.stdout)


def _by_wayland_tool() -> Picture:
    tool = shutil.which("grim")
    if tool is None:
        raise OSError("on Wayland this needs the program grim, where the compositor allows it")
    done = subprocess.run([tool, "-t", "ppm", "-"], capture_output=True, timeout=60, check=True)
    return read_ppm(done.stdout)


def read_ppm(data: bytes) -> Picture:
    """Read a binary PPM (P6) of 8 bits a channel.

    Raises:
        ValueError: it is none.
    """
    words: list[bytes] = []
    at = 0
    while len(words) < 4:
        end = at
        while end < len(data) and not data[end : end + 1].isspace():
            end += 1
        if end >= len(data):
            raise ValueError("the grab ends before its pixels")
        words.append(data[at:end])
        at = end + 1
    if words[0] != b"P6" or words[3] != b"255":
        raise ValueError("the grab is no 8-bit PPM")
    width, height = int(words[1]), int(words[2])
    pixels = np.frombuffer(data, dtype=np.uint8, offset=at)
    if pixels.size != width * height * 3:
        raise ValueError(f"the grab has {pixels.size} bytes for {width} x {height} pixels")
    return pixels.reshape(height, width, 3)
