"""Which pattern shows a patch: its name, its parameters, and the last part of the patch's key."""

from __future__ import annotations

import math
from dataclasses import dataclass

from patterns import PatternError, build
from patterns.frame import Codes
from sequences.errors import SequenceError
from sequences.model import PanelFacts, Patch, Place

Parameters = tuple[tuple[str, object], ...]


@dataclass(frozen=True, slots=True)
class PatchGeometry:
    """How a patch is shown, whatever its colour."""

    pattern: str
    label: str
    parameters: Parameters = ()
    background: Codes = (0.0, 0.0, 0.0)


FULL = PatchGeometry("field", "full")


def share_label(share: float) -> str:
    """Return the key's word for a window: ``w10`` for 10 % of the area, ``w2.5`` for 2.5 %."""
    return f"w{share * 100:g}"


def window(
    place: Place,
    share: float,
    *,
    shape: str = "screen",
    background: float = 0.0,
    surround_mean_code: float | None = None,
    collar_px: int = 0,
) -> PatchGeometry:
    """Return a window of a share of the screen's area where the probe sits."""
    label = share_label(share)
    given: dict[str, object] = {"share": share}
    if shape != "screen":
        given["shape"] = shape
        label += "s"
    if place.name != "centre":
        given["at_px"] = place.at_px
    if background:
        label += f"-on{background:g}"
    if surround_mean_code is not None:
        given["surround_mean_code"] = surround_mean_code
        label += f"-mean{surround_mean_code:g}"
    if collar_px:
        given["collar_px"] = collar_px
        label += f"-collar{collar_px}"
    return PatchGeometry("window", label, tuple(sorted(given.items())), (background,) * 3)


def checkerboard(columns: int, rows: int, phase: str) -> PatchGeometry:
    """Return a checkerboard; in phase ``b`` the cells change places."""
    given = (("columns", columns), ("phase", 0 if phase == "a" else 1), ("rows", rows))
    return PatchGeometry("checkerboard", f"check{columns}x{rows}{phase}", given)


def lit_mm(patch: Patch, panel: PanelFacts) -> tuple[float, float]:
    """Return width and height in mm of what lies under the probe: the window, or one cell of a checkerboard."""
    given = dict(patch.parameters)
    across, down = panel.active_area_mm
    share, columns, rows = (given.get(name) for name in ("share", "columns", "rows"))
    if isinstance(columns, int) and isinstance(rows, int):
        return across / columns, down / rows
    if not isinstance(share, float):
        return across, down
    if given.get("shape") == "square":
        side = math.sqrt(share * across * down)
        return side, side
    return across * math.sqrt(share), down * math.sqrt(share)


def fit(geometry: PatchGeometry, codes: Codes, panel: PanelFacts, key: str) -> None:
    """Check that the pattern can be built on the panel; ``SequenceError`` says why not."""
    try:
        build(
            geometry.pattern,
            panel.width_px,
            panel.height_px,
            codes=codes,
            background=geometry.background,
            **dict(geometry.parameters),
        )
    except PatternError as error:
        raise SequenceError((f"{key}: {error}",)) from None
