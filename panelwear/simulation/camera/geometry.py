"""Where a panel pixel lies in the frame and the other way round: pinhole, then radial distortion.

0, 0 is the outer corner of the top left pixel, on the panel and in the frame; a pixel's middle is at 0.5, 0.5.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.simulation.camera.model import CameraModel, Lens, Pose

Real = NDArray[np.float64]

_FARTHEST = 1.6
"""Half diagonals up to which the distortion is inverted; a sensor's corner lies at 1."""
_DEGREE = 9


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One pose of one camera before one panel."""

    panel_px: tuple[int, int]
    frame_px: tuple[int, int]
    homography: Real
    """Panel pixels to undistorted camera pixels, ``(3, 3)``."""
    k1: float
    k2: float
    eye_mm: Real
    """Where the lens is, from the panel's middle: right, down, in front, ``(3,)``."""
    area_mm: tuple[float, float]
    inverse: Real
    """Coefficients of what undoes the distortion, by rising powers of r² in half diagonals squared."""

    def to_frame(self, panel: ArrayLike) -> Real:
        """Return where places of the panel ``(..., 2)`` lie in the frame, ``(..., 2)``."""
        return self.distorted(_projected(self.homography, np.asarray(panel, dtype=np.float64)))

    def to_panel(self, frame: ArrayLike) -> Real:
        """Return which places of the panel lie at places of the frame ``(..., 2)``."""
        ideal = self.undistorted(np.asarray(frame, dtype=np.float64))
        return _projected(np.asarray(np.linalg.inv(self.homography), dtype=np.float64), ideal)

    def obliqueness(self, columns: ArrayLike, rows: ArrayLike) -> Real:
        """Return the cosine of the angle to the panel's normal under which places of it are seen; both broadcast."""
        x, y = (
            (np.asarray(at, dtype=np.float64) / count - 0.5) * side
            for at, count, side in zip((columns, rows), self.panel_px, self.area_mm, strict=True)
        )
        away = (x - self.eye_mm[0]) ** 2 + (y - self.eye_mm[1]) ** 2
        return np.asarray(self.eye_mm[2] / np.sqrt(away + self.eye_mm[2] ** 2))

    def distorted(self, ideal: Real) -> Real:
        """Move places of an undistorted frame to where the lens puts them (Brown 1966)."""
        away = (ideal - self.middle) / self.half_diagonal
        square = (away**2).sum(axis=-1, keepdims=True)
        moved = self.middle + self.half_diagonal * away * (1 + self.k1 * square + self.k2 * square**2)
        return np.asarray(moved)

    def undistorted(self, frame: Real) -> Real:
        """Undo ``distorted``; within 1e-4 of a camera pixel over the whole frame."""
        away = frame - self.middle
        square = (away**2).sum(axis=-1, keepdims=True) / self.half_diagonal**2
        return np.asarray(self.middle + away * np.polynomial.polynomial.polyval(square, self.inverse))

    @property
    def middle(self) -> Real:
        """Return the frame's middle, where the optical axis meets it."""
        return np.array(self.frame_px) / 2

    @property
    def half_diagonal(self) -> float:
        """Return half the frame's diagonal in camera pixels."""
        return math.hypot(*self.frame_px) / 2

    def gradients(self, x: ArrayLike, y: ArrayLike) -> Real:
        """Return panel pixels for each camera pixel at places of the frame: d(u, v)/d(x, y), ``(..., 2, 2)``."""
        at = np.stack(np.broadcast_arrays(np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)), axis=-1)
        steps = [
            self.to_panel(at + np.array(step)) - self.to_panel(at - np.array(step)) for step in ((0.5, 0), (0, 0.5))
        ]
        return np.stack(steps, axis=-1)


def view_of(camera: CameraModel, pose: Pose, panel_px: tuple[int, int], area_mm: tuple[float, float]) -> View:
    """Put a camera before a panel.

    Args:
        camera: sensor and lens.
        pose: where it stands.
        panel_px: the panel's pixels across and down.
        area_mm: its width and height.
    """
    focal_px = camera.lens.focal_mm * 1000 / camera.sensor.pitch_um
    width, height = camera.sensor.size_px
    distance_mm = focal_px * max(area_mm[0] / width, area_mm[1] / height) / pose.fill
    tilt, turn, roll = (math.radians(angle) for angle in (pose.tilt_deg, pose.turn_deg, pose.roll_deg))
    panel_turned = _about_x(tilt) @ _about_y(turn)
    shift_mm = [pose.shift[0] * width * distance_mm / focal_px, pose.shift[1] * height * distance_mm / focal_px]
    eye = -panel_turned.T @ np.array([*shift_mm, distance_mm])
    place = _about_z(roll) @ np.column_stack([panel_turned[:, 0], panel_turned[:, 1], [*shift_mm, distance_mm]])
    if pose.mirrored:
        place[0] *= -1
    lens = np.array([[focal_px, 0, width / 2], [0, focal_px, height / 2], [0, 0, 1]])
    columns, rows = panel_px
    to_mm = np.array(
        [
            [area_mm[0] / columns, 0, -area_mm[0] / 2],
            [0, area_mm[1] / rows, -area_mm[1] / 2],
            [0, 0, 1],
        ]
    )
    homography = lens @ place @ to_mm
    return View(
        panel_px,
        camera.sensor.size_px,
        np.asarray(homography / homography[2, 2]),
        camera.lens.k1,
        camera.lens.k2,
        np.array([eye[0], eye[1], -eye[2]]),
        area_mm,
        _inverse(camera.lens),
    )


def _inverse(lens: Lens) -> Real:
    """Fit what undoes the distortion, as a polynomial in r'²."""
    ideal = _FARTHEST * np.sin(np.linspace(0, math.pi / 2, 400))
    factor = 1 + lens.k1 * ideal**2 + lens.k2 * ideal**4
    seen = ideal * factor
    if (np.diff(seen) <= 0).any():
        raise ValueError(f"k1 {lens.k1:g} and k2 {lens.k2:g} fold the frame over itself; nearer to 0 is allowed")
    inner = seen <= max(1.05, 0.75 * float(seen[-1]))
    fit = np.polynomial.Polynomial.fit(seen[inner] ** 2, 1 / factor[inner], _DEGREE)
    return np.asarray(fit.convert().coef)


def _projected(homography: Real, at: Real) -> Real:
    x, y = at[..., 0], at[..., 1]
    (a, b, c), (d, e, f), (g, h, i) = homography
    below = g * x + h * y + i
    return np.stack([(a * x + b * y + c) / below, (d * x + e * y + f) / below], axis=-1)


def _about_x(angle: float) -> Real:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])


def _about_y(angle: float) -> Real:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])


def _about_z(angle: float) -> Real:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
