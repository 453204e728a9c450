"""The response of a camera whose numbers are not linear in light, found from its photograph of the grey staircase."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.photograph import COLOURS, Colour, Photograph
from panelwear.camera.photographs.view import PanelView
from patterns.camera import STAIR_CODES, stair_cells

Real = NDArray[np.float64]
INNER = 0.5
"""Share of each step's width and height that is looked at: blur reaches over its borders."""
LINEAR_FROM = 0.8
"""Slope of numbers over light, both as logarithms, from which numbers count as linear in light: what is made for
screens has a slope under 0.6; the panel's own response is known to 10 % at best."""


def stair_numbers(photos: Sequence[Photograph], view: PanelView) -> dict[Colour, Real]:
    """Return the stored number of each level of the staircase behind each colour, ``(16,)``, black first.

    Each level stands at two places that mirror each other through the middle, so an even fall-off cancels.
    """
    cells = stair_cells(*view.panel_px)
    found: dict[Colour, Real] = {}
    for colour in COLOURS:
        sums = np.zeros(len(STAIR_CODES))
        for photo in photos:
            plane = photo.of_colour(colour)[0]
            for rect, code in cells:
                x = rect.x + rect.w * (0.5 + INNER * (np.linspace(0, 1, 24) - 0.5))
                y = rect.y + rect.h * (0.5 + INNER * (np.linspace(0, 1, 24) - 0.5))
                at = view.to_camera(np.stack(np.meshgrid(x, y), axis=-1))
                column = np.round((at[..., 0] - plane.left - 0.5) / plane.step).astype(int)
                row = np.round((at[..., 1] - plane.top - 0.5) / plane.step).astype(int)
                inside = (row >= 0) & (column >= 0) & (row < plane.stored.shape[0]) & (column < plane.stored.shape[1])
                numbers = plane.stored[row[inside], column[inside]]
                sums[STAIR_CODES.index(code)] += float(numbers.mean()) if numbers.size else 0.0
        found[colour] = sums / (2 * len(photos))
    return found


def slope(numbers: Real, light: Real) -> float:
    """Return how numbers rise with light, as logarithms: 1 where they are linear."""
    above = numbers - numbers[0]
    used = (light > 0.05 * light.max()) & (above > 0) & (numbers < 0.97 * numbers.max() + 1)
    if used.sum() < 3:
        return 1.0
    return float(np.polyfit(np.log(light[used]), np.log(above[used]), 1)[0])


def curve_of(numbers: Real, light: Real, most: int) -> NDArray[np.float32] | None:
    """Return light for each stored number 0..``most``; ``None`` where numbers do not rise with light.

    Args:
        numbers: of each level of the staircase.
        light: of each level, as the panel's response has it; any unit.
        most: the largest number.
    """
    from scipy.interpolate import PchipInterpolator

    rising = np.concatenate([[True], np.diff(numbers) > 0])
    full = np.flatnonzero(numbers >= 0.995 * most)
    if len(full):  # levels that burnt out say nothing
        rising[full[0] + 1 :] = False
    known, lit = numbers[rising], light[rising]
    if len(known) < 5:
        return None
    codes = np.arange(most + 1, dtype=np.float64)
    inner = PchipInterpolator(known, lit, extrapolate=False)(np.clip(codes, known[0], known[-1]))
    # Beyond the brightest level as it rose last; below black nothing.
    last = (lit[-1] - lit[-2]) / (known[-1] - known[-2])
    out = np.where(codes > known[-1], lit[-1] + last * (codes - known[-1]), inner)
    return np.asarray((out - lit[0]).astype(np.float32))
