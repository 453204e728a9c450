"""How far a probe that was found sits from its target, which way to move it, and whether it may be read there."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from panelwear.panel.placement import PlacementFound
from patterns.frame import Rect

SAID_MM = 0.5
"""Nearer than this in both directions counts as on the target: a hand does no better (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class OffTarget:
    """Where a probe is to be moved, as seen by the person who faces the screen."""

    right_mm: float
    """How far to move it to the right; negative: to the left."""
    down_mm: float
    """How far to move it down; negative: up."""
    refused: str = ""
    """Why nothing is read there; empty where it may be."""

    @property
    def is_on(self) -> bool:
        """Whether it sits on the target, as nearly as a hand can put it."""
        return max(abs(self.right_mm), abs(self.down_mm)) < SAID_MM

    @property
    def move(self) -> str:
        """Say the move in words: "12 mm left, 4 mm up"."""
        ways = ((self.right_mm, "right", "left"), (self.down_mm, "down", "up"))
        said = [f"{_mm(abs(by))} mm {plus if by > 0 else minus}" for by, plus, minus in ways if abs(by) >= SAID_MM]
        return ", ".join(said) or "not at all"

    @property
    def sentence(self) -> str:
        """Say it to a person."""
        if self.is_on:
            return f"The probe sits on the target, within {SAID_MM:g} mm."
        why = f" {self.refused}" if self.refused else ""
        return (
            f"The probe is {math.hypot(self.right_mm, self.down_mm):.1f} mm off the target: move it {self.move}.{why}"
        )


def _mm(distance: float) -> str:
    return f"{distance:.0f}" if distance >= 10 else f"{distance:.1f}".removesuffix(".0")


def off_target(
    found: PlacementFound,
    target_px: tuple[float, float],
    pitch_mm: tuple[float, float],
    screen_px: tuple[int, int],
    patches: Iterable[Rect],
) -> OffTarget:
    """Compare where a probe was found with where it is to sit.

    Args:
        found: Where the screen found it, with its aperture.
        target_px: Where it is to sit.
        pitch_mm: Size of a pixel, across and down.
        screen_px: Width and height of the screen.
        patches: The rectangles that are read at this place. One that would not hold the aperture on the target either
            sets no limit but this: the probe's middle may be half an aperture off.
    """
    to_right, down = (
        target * pitch - now for target, pitch, now in zip(target_px, pitch_mm, found.centre_mm, strict=True)
    )
    radius = found.diameter_mm / 2
    target_mm = (target_px[0] * pitch_mm[0], target_px[1] * pitch_mm[1])
    refused = ""
    if not _holds(Rect(0, 0, *screen_px), pitch_mm, found.centre_mm, radius):
        refused = "There its aperture leaves the screen."
    for rect in patches:
        if _holds(rect, pitch_mm, target_mm, radius):
            left = not _holds(rect, pitch_mm, found.centre_mm, radius)
        else:
            left = math.hypot(to_right, down) > radius
        refused = refused or ("There its aperture leaves the patch." if left else "")
    return OffTarget(to_right, down, refused)


def _holds(rect: Rect, pitch_mm: tuple[float, float], centre_mm: tuple[float, float], radius_mm: float) -> bool:
    x, y = centre_mm
    left, right = rect.x * pitch_mm[0], (rect.x + rect.w) * pitch_mm[0]
    top, bottom = rect.y * pitch_mm[1], (rect.y + rect.h) * pitch_mm[1]
    return left <= x - radius_mm and x + radius_mm <= right and top <= y - radius_mm and y + radius_mm <= bottom
