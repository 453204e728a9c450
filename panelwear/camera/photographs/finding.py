"""The panel is found in a photograph of the dot grid, or a sentence says why it cannot be."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.dots import found_spots
from panelwear.camera.photographs.lattice import assigned
from panelwear.camera.photographs.photograph import Photograph, green_picture
from panelwear.camera.photographs.view import PanelView, projected
from panelwear.errors import UsageError
from patterns.camera import DOT_COLUMNS, DOT_ROWS, dot_centres

Real = NDArray[np.float64]
FEWEST_DOTS = 54
"""9 x 6: fewer leave the distortion of the frame's corners to guessing."""
STRAYING = 5.0
"""Standard deviations beyond which a dot is left out: dust, a reflection, a dead pixel."""
LARGEST_RMS_PX = 1.0
"""Panel pixels: an eighth of a cell of a panel of 3840 x 2160. More, and the grid was not seen sharp, or moved."""
MOST_TILT_DEG = 20.0
"""A panel seen more aslant is refused: its far side is another 6 % smaller than its near one and out of focus, and what
it sends aslant has another light and colour than straight ahead, other from place to place, which no photograph can
part from wear. Common practice, no source."""
CORNERS = ("top left", "top right", "bottom right", "bottom left")


def panel_found(photo: Photograph, panel_px: tuple[int, int], pitch_mm: tuple[float, float]) -> PanelView:
    """Find where the panel lies in a photograph of its dot grid.

    Args:
        photo: the frame.
        panel_px: the panel's pixels across and down.
        pitch_mm: width and height of one of them.

    Raises:
        UsageError: too few dots, a corner outside the frame, too aslant, or a grid that does not fit.
    """
    picture, pitch = green_picture(photo)
    spots = found_spots(picture)
    numbers = assigned(spots)
    seen = numbers >= 0
    if seen.sum() < FEWEST_DOTS:
        raise UsageError(
            f"{photo.name}: {int(seen.sum())} of the {DOT_COLUMNS * DOT_ROWS} dots were found with the two large ones"
            f" that tell which way up the panel is; wanted {FEWEST_DOTS}. Take the dot grid again: whole panel in the"
            " frame, room dark, dots not saturated"
        )
    view = fitted(dot_centres(*panel_px)[numbers[seen]], spots.middles[seen] * pitch, panel_px, photo.size_px)
    _refuse_bad(photo.name, view, numbers[seen], pitch_mm)
    return view


def _refuse_bad(name: str, view: PanelView, numbers: NDArray[np.intp], pitch_mm: tuple[float, float]) -> None:
    width, height = view.frame_px
    for corner, (x, y) in zip(CORNERS, view.corners(), strict=True):
        if not (0 <= x <= width and 0 <= y <= height):
            raise UsageError(
                f"{name}: the panel's {corner} corner lies outside the photograph; move back or turn the camera until"
                " the whole panel is in it, and take the shoot again"
            )
    columns, rows = numbers % DOT_COLUMNS, numbers // DOT_COLUMNS
    if np.ptp(columns) < DOT_COLUMNS - 2 or np.ptp(rows) < DOT_ROWS - 2:
        raise UsageError(
            f"{name}: the dots seen do not reach across the panel; something stands before it, or part of it is cut off"
        )
    tilt = view.tilt_deg(pitch_mm)
    if tilt > MOST_TILT_DEG:
        raise UsageError(
            f"{name}: the camera looks at the panel {tilt:.0f} degrees aslant, and {MOST_TILT_DEG:.0f} is the most:"
            " light sent aslant is not the light sent straight ahead. Set it square to the panel"
        )
    if view.rms_px > LARGEST_RMS_PX:
        raise UsageError(
            f"{name}: the dots lie {view.rms_px:.2f} panel pixels (rms) from where they should, and {LARGEST_RMS_PX:g}"
            " is the most; the camera moved during the exposure, or a correction of the lens by the camera was on"
        )


def fitted(panel: Real, camera: Real, panel_px: tuple[int, int], frame_px: tuple[int, int]) -> PanelView:
    """Fit homography, centre of distortion, k1 and k2 by least squares, leaving out dots that stray.

    Args:
        panel: places on the panel, ``(n, 2)``.
        camera: where they are in the frame, ``(n, 2)``.
        panel_px: the panel's pixels.
        frame_px: the frame's pixels.
    """
    from scipy.optimize import least_squares

    scale, size = math.hypot(*frame_px) / 2, float(max(panel_px))
    # Both in numbers about 1, so that every parameter weighs alike.
    flat, seen = panel / size - 0.5, (camera - np.array(frame_px) / 2) / scale
    kept = np.ones(len(flat), dtype=bool)
    start = np.concatenate([_homography(flat, seen).ravel()[:8], np.zeros(4)])
    for _ in range(4):
        found = least_squares(_apart, start, method="lm", args=(flat[kept], seen[kept]))
        off = np.linalg.norm(_seen_by(found.x, flat) - seen, axis=1)
        # Of distances in two directions the median is 1.18 sigma (Rayleigh).
        sigma = float(np.median(off[kept])) / 1.1774
        now, start = off < STRAYING * max(sigma, 1e-7), found.x
        if (now == kept).all():
            break
        kept = now
    to_flat = np.array([[1 / size, 0, -0.5], [0, 1 / size, -0.5], [0, 0, 1]])
    to_camera = np.array([[scale, 0, frame_px[0] / 2], [0, scale, frame_px[1] / 2], [0, 0, 1]])
    homography = to_camera @ np.append(found.x[:8], 1).reshape(3, 3) @ to_flat
    k1, k2, x, y = (float(value) for value in found.x[8:])
    centre = (x * scale + frame_px[0] / 2, y * scale + frame_px[1] / 2)
    view = PanelView(panel_px, frame_px, homography / homography[2, 2], centre, k1, k2)
    apart = view.to_panel(camera[kept]) - panel[kept]
    rms = float(np.sqrt((apart**2).sum(axis=1).mean()))
    return PanelView(panel_px, frame_px, view.homography, centre, k1, k2, rms, int(kept.sum()))


def _apart(parameters: Real, flat: Real, seen: Real) -> Real:
    return np.asarray((_seen_by(parameters, flat) - seen).ravel())


def _seen_by(parameters: Real, flat: Real) -> Real:
    ideal = projected(np.append(parameters[:8], 1).reshape(3, 3), flat)
    k1, k2 = parameters[8:10]
    away = ideal - parameters[10:]
    square = (away**2).sum(axis=1, keepdims=True)
    return np.asarray(parameters[10:] + away * (1 + k1 * square + k2 * square**2))


def _homography(places: Real, seen: Real) -> Real:
    """Solve for the homography by the direct linear transformation (Hartley and Zisserman 2004, 4.1; from memory)."""
    x, y, zero, one = places[:, 0], places[:, 1], np.zeros(len(places)), np.ones(len(places))
    rows = [np.stack([x, y, one, zero, zero, zero, -u * x, -u * y, -u], axis=1) for u in (seen[:, 0],)]
    rows += [np.stack([zero, zero, zero, x, y, one, -v * x, -v * y, -v], axis=1) for v in (seen[:, 1],)]
    found = np.linalg.svd(np.concatenate(rows), full_matrices=False)[2][-1].reshape(3, 3)
    return np.asarray(found / found[2, 2])
