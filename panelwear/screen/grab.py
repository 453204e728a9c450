"""Taking what the display server holds: a surface read back proves nothing, a grab does."""

from __future__ import annotations

import io
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
    from PIL import Image

    try:
        with Image.open(io.BytesIO(data), formats=["PPM"]) as image:
            image.load()
            if image.mode == "RGB":
                return np.array(image, dtype=np.uint8)
        problem = f"its mode is {image.mode}"
    except (OSError, ValueError) as error:
        problem = str(error)
    raise ValueError(f"the grab is no whole 8-bit colour PPM: {problem}")
