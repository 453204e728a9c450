"""What by-eye tests on a real X screen share: panel and zone (both invented), looking at the server's pixels."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np

from panelwear.folder.panel import load_panel
from panelwear.panel.assumed import assumed_response
from patterns import build
from patterns.frame import Picture, Rect
from patterns.raster import raster
from sequences.model import Zone
from tests.screens import PATIENCE_S, Display, Program, different_pixels

SIZE = (1280, 720)
BADGE = Zone("clock-badge", Rect(960, 96, 192, 96), (1056.0, 144.0))
PEAK_CD_M2 = 250.0


def luminance(picture: Picture) -> np.ndarray:
    """Luminance in cd/m² on the assumed gamma of 2.2."""
    return PEAK_CD_M2 * ((picture / 255.0) ** 2.2) @ np.array([0.2126, 0.7152, 0.0722])


def wait_until(display: Display, seen: object, what: str, head: int = 0) -> Picture:
    """Grab until ``seen(picture)`` holds."""
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        picture = display.grab(head)
        if seen(picture):  # type: ignore[operator]
            return picture
        time.sleep(0.1)
    raise AssertionError(f"never seen: {what}")


def press_and_see(display: Display, *keys: str, head: int = 0) -> None:
    """Press keys one by one, each once the one before has changed the picture: together they pass for one held."""
    for key in keys:
        before = display.grab(head)
        display.key(key)
        wait_until(display, lambda p, before=before: different_pixels(p, before) > 0, f"what {key} does", head)


def is_plain(code: float) -> object:
    field = raster(build("field", *SIZE, codes=(code,) * 3))
    return lambda picture: different_pixels(picture, field) == 0


def with_card(code: float) -> object:
    field = raster(build("field", *SIZE, codes=(code,) * 3))
    return lambda picture: 500 < different_pixels(picture, field) < 0.8 * field.shape[0] * field.shape[1]


def start(run: Program, display: Display) -> None:
    """Let the first field come up."""
    run.wait_cautions()
    run.wait_for("SHOWN field")


def first_code(folder: Path) -> float:
    return assumed_response(load_panel(folder).assumed_response).code_for("grey", 0.5)


def checkpoint_of(folder: Path) -> Path:
    (found,) = (folder / "checkpoints").iterdir()
    return found


def look(folder: Path, *more: str) -> tuple[str, ...]:
    return ("look", str(folder), "--hours", "1460", "--adapt", "0", "--seed", "5", "--yes", *more)
