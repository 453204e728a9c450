"""Prove that pixels arrive unchanged at the display server, and let the person judge what no program can see."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.frame import BLACK, Frame, Picture, Rect

UNSEEN = (
    "the graphics card's colour table and any profile loader: switch them off",
    "night light and adaptive colour or brightness, of the desktop and of the monitor: off",
    "HDR mapping of the desktop: off (8 bits a channel, SDR, is what is drawn here)",
    "limited range (16..235) on the cable: drive levels 1 to 15 must be told from black, 240 to 254 from white",
    "the monitor's own scaler, overscan and sharpening: off, so that one pixel is one pixel",
    "dithering by the graphics card or the panel",
)
"""What lies between the display server and the light."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """What came of comparing the pixels wanted with the pixels the server holds."""

    compared_px: int
    different_px: int
    largest_step: int
    """Largest difference in codes."""
    first_at: tuple[int, int] | None
    """x, y of the first pixel that differs."""
    size_found: tuple[int, int]

    @property
    def exact(self) -> bool:
        """Whether every pixel is as drawn."""
        return self.different_px == 0 and self.compared_px > 0

    def sentence(self) -> str:
        """Say it in one sentence."""
        if self.exact:
            return f"all {self.compared_px} pixels are exactly as drawn"
        where = "" if self.first_at is None else f", the first at x {self.first_at[0]}, y {self.first_at[1]}"
        return (
            f"{self.different_px} of {self.compared_px} pixels differ, by up to {self.largest_step} drive levels{where}"
            f" (the grab has {self.size_found[0]} x {self.size_found[1]} pixels)"
        )


def compare(wanted: Picture, found: Picture) -> Comparison:
    """Compare two pictures pixel by pixel; another size counts as different everywhere."""
    height, width = wanted.shape[:2]
    size_found = (found.shape[1], found.shape[0])
    if found.shape != wanted.shape:
        return Comparison(width * height, width * height, 255, (0, 0), size_found)
    step = np.abs(wanted.astype(np.int16) - found.astype(np.int16)).max(axis=2)
    bad = step > 0
    count = int(bad.sum())
    first = divmod(int(np.argmax(bad)), width)[::-1] if count else None
    return Comparison(width * height, count, int(step.max()), first, size_found)


def check_page(width: int, height: int) -> Frame:
    """Draw the page on which scaling and lost range show to the eye.

    Above, five fine patches in a flat field of the same mean light (code 93 for 0 and 128 at gamma 2.2): single-pixel
    checkerboard, single-pixel lines and pairs of lines, upright and lying. Scaled, they show beats or unequal lines.
    Below, small boxes of codes 1 to 16 on black and 239 to 254 on white, each to be told from its ground.
    """
    picture = np.zeros((height, width, 3), dtype=np.uint8)
    row, column = np.arange(height)[:, None], np.arange(width)[None, :]
    light = np.uint8(128)
    fine = [
        (row + column) % 2 * light,
        np.broadcast_to(column % 2 * light, (height, width)),
        np.broadcast_to(column // 2 % 2 * light, (height, width)),
        np.broadcast_to(row % 2 * light, (height, width)),
        np.broadcast_to(row // 2 % 2 * light, (height, width)),
    ]
    top, bottom = height // 8, height * 5 // 8
    picture[top:bottom] = round(128 * 0.5 ** (1 / 2.2))
    gap_x, gap_y = width // 30, height // 16
    for index, band in enumerate(fine):
        left, right = width * index // len(fine) + gap_x, width * (index + 1) // len(fine) - gap_x
        picture[top + gap_y : bottom - gap_y, left:right] = band[top + gap_y : bottom - gap_y, left:right, None]
    _steps(picture, 1, height * 11 // 16, 0)
    _steps(picture, 239, height * 13 // 16, 255)
    return Frame("check-page", width, height, BLACK, Rect(0, 0, width, height), pixels=picture, lit_share=0.6)


def _steps(picture: Picture, first: int, y: int, ground: int) -> None:
    # Small: in a dark room the white ground must not dazzle away the dark boxes above it.
    height, width = picture.shape[:2]
    tall, edge, begin, wide = max(1, height // 18), max(1, width // 300), width * 3 // 10, width * 4 // 10
    picture[y : y + tall, begin : begin + wide] = ground
    for index in range(16):
        left = begin + wide * index // 16 + edge
        right = begin + wide * (index + 1) // 16 - edge
        picture[y + edge : y + tall - edge, left:right] = first + index
