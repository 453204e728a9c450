"""What a photograph holds once it is opened: one plane of numbers for each colour of the sensor's filter."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Colour = Literal["red", "green", "blue"]
COLOURS: tuple[Colour, ...] = ("red", "green", "blue")
Real = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Taken:
    """How a photograph was taken, as its file says; ``None``: it does not."""

    camera: str = ""
    """Make and model."""
    lens: str = ""
    exposure_s: float | None = None
    aperture: float | None = None
    iso: float | None = None
    focal_mm: float | None = None
    at: datetime | None = None
    """By the camera's own clock, in no time zone."""
    focal_35_mm: float | None = None
    """The focal length that shows as much on a frame of 36 mm x 24 mm."""

    @property
    def set_up(self) -> str:
        """What has to be equal where photographs of two checkpoints are divided, as text."""
        focal = f"{self.focal_mm:g} mm" if self.focal_mm else "focal length not told"
        aperture = f"f/{self.aperture:.2g}" if self.aperture else "aperture not told"
        return ", ".join((self.camera or "camera not told", *filter(None, (self.lens,)), focal, aperture))

    @property
    def sensitivity(self) -> float | None:
        """Numbers a luminance gives, up to a constant: exposure times ISO over aperture squared."""
        if self.exposure_s is None:
            return None
        return self.exposure_s * (self.iso or 100.0) / (self.aperture or 1.0) ** 2


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """The pixels behind one filter: every ``step``-th of the frame from ``top``, ``left``."""

    colour: Colour
    top: int
    left: int
    step: int
    stored: NDArray[Any]
    """Numbers as the file has them."""
    black: float
    """What no light gives, in the same numbers."""
    white: float
    """From here on a pixel is saturated."""
    curve: Real | None = None
    """Light for each stored number, where these are not linear in light; black is taken off in it already."""

    def light(self, rows: slice = slice(None), columns: slice = slice(None)) -> Real:
        """Return numbers linear in light, black taken off, of a part of the plane."""
        part = self.stored[rows, columns]
        if self.curve is not None:
            return np.asarray(self.curve[part])
        return part.astype(np.float32) - np.float32(self.black)

    def saturated(self, rows: slice = slice(None), columns: slice = slice(None)) -> NDArray[np.bool_]:
        """Tell which pixels of a part of the plane are saturated."""
        return np.asarray(self.stored[rows, columns] >= self.white)


@dataclass(frozen=True, slots=True, eq=False)
class Photograph:
    """One opened file."""

    name: str
    sha256: str
    size_px: tuple[int, int]
    """Width and height of the frame in camera pixels."""
    planes: tuple[Plane, ...]
    taken: Taken = field(default_factory=Taken)
    for_showing: bool = False
    """True where the numbers are not those of the sensor: a JPEG, whatever is found of its response."""

    def of_colour(self, colour: Colour) -> tuple[Plane, ...]:
        """Return the planes of one colour; of a camera without colours, its only one."""
        return tuple(plane for plane in self.planes if plane.colour == colour) or self.planes

    def with_curves(self, curves: dict[Colour, Real]) -> Photograph:
        """Return the photograph with a found response in the place of its own."""
        planes = tuple(replace(p, curve=curves[p.colour]) if p.colour in curves else p for p in self.planes)
        return replace(self, planes=planes)


def green_picture(photo: Photograph) -> tuple[Real, float]:
    """Return the green light of a frame in one picture, and how many camera pixels one of its pixels is wide.

    The two greens of a Bayer pattern lie on a diagonal, whichever way it begins, so their mean belongs to the middle of
    the 2 x 2 pixels: pixel (row, column) has its middle at ``pitch * (column + 0.5, row + 0.5)``.
    """
    greens = photo.of_colour("green")
    rows = slice(0, min(plane.stored.shape[0] for plane in greens))
    columns = slice(0, min(plane.stored.shape[1] for plane in greens))
    total = greens[0].light(rows, columns)
    for other in greens[1:]:
        total = total + other.light(rows, columns)
    return total / np.float32(len(greens)), float(greens[0].step)
