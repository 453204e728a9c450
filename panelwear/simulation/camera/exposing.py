"""From what a panel shows to the electrons of each camera pixel: geometry, lens, filters, sub-pixels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.camera.geometry import View, view_of
from panelwear.simulation.camera.model import CameraModel, Pose, SubPixels, filter_index
from panelwear.simulation.camera.seen import Seen, seen_of, white_response
from panelwear.simulation.camera.shading import shading
from panelwear.simulation.camera.surface import PanelSurface
from patterns.frame import Picture

Map = NDArray[np.float32]
Whole = NDArray[np.integer[Any]]

_STRIP = 256
"""Rows worked on at once; even, so that each strip begins with the same filters."""
_KNOTS_PX = 64
"""How far apart the contrast of the sub-pixels is worked out; it changes slowly over the frame."""


@dataclass(frozen=True, slots=True)
class Room:
    """Light that is not the panel's own, and how the panel's own depends on the angle."""

    reflected_cd_m2: float = 0.0
    """What the panel's surface throws back of the room, everywhere alike."""
    around_cd_m2: float = 0.0005
    """Of bezel and wall."""
    angle_power: float = 0.0
    """The panel's luminance falls as this power of the cosine under which a place is seen; 0: alike from everywhere."""


DARK_ROOM = Room()


class Optics:
    """One camera in one pose before one panel; keeps where each camera pixel looks, for the next picture."""

    def __init__(
        self,
        camera: CameraModel,
        pose: Pose,
        surface: PanelSurface,
        layout: SubPixels | None = None,
        room: Room = DARK_ROOM,
    ) -> None:
        self.camera = camera
        self.pose = pose
        self.surface = surface
        self.layout = layout or SubPixels()
        self.room = room
        self.view: View = view_of(camera, pose, surface.size_px, surface.state.model.active_area_mm)
        self._places = _places(self.view)
        self._shading: Map = frame_shading(camera)

    def electrons(self, picture: Picture, exposure_s: float) -> Map:
        """Return the mean electrons of each camera pixel, ``(height, width)`` float32, before the sensor's own.

        Args:
            picture: what the panel shows, ``(height, width, 3)``.
            exposure_s: how long it is looked at.
        """
        camera = self.camera
        around = self.room.around_cd_m2 * white_response(camera, self.surface)
        black = self.surface.state.panel.emission.black[1] + self.room.reflected_cd_m2 - self.room.around_cd_m2
        light = self.surface.light(picture)
        if self.room.angle_power:
            light *= self._by_angle()
        seen = seen_of(light, self.surface, camera, self.view, layout=self.layout, black_cd_m2=black)
        contrasts = self._contrasts(seen)
        width, height = camera.sensor.size_px
        out: Map = np.empty((height, width), dtype=np.float32)
        for which, top, left in _bayer(camera):
            for rows in strips(height):
                u, v = (one[rows][top::2, left::2] for one in self._places)
                part = seen.at(which, u, v)
                if contrasts:
                    at_y, at_x = np.arange(rows.start + top, rows.stop, 2), np.arange(left, width, 2)
                    part *= self._wave(seen, contrasts, which, (u, v), (at_y, at_x))
                out[rows][top::2, left::2] = part + np.float32(around[which])
        out *= self._shading
        if camera.lens.glare:
            out += np.float32(camera.lens.glare * out.mean(dtype=np.float64))
        out *= np.float32(exposure_s / camera.lens.f_number**2)
        return out

    def _by_angle(self) -> Map:
        columns, rows = self.surface.size_px
        cosine = self.view.obliqueness(np.arange(columns) + 0.5, (np.arange(rows) + 0.5)[:, None])
        return np.asarray(cosine**self.room.angle_power, dtype=np.float32)

    def _contrasts(self, seen: Seen) -> list[Map]:
        """Return the contrast of each harmonic over the frame, at knots; nothing where the blur takes all of them."""
        height, width = self._shading.shape
        x, y = np.meshgrid(_knots(width), _knots(height))
        gradients = self.view.gradients(x, y)
        return seen.contrasts(gradients, self.camera.lens)

    def _wave(
        self, seen: Seen, contrasts: list[Map], which: int, at: tuple[Map, Map], pixels: tuple[Whole, Whole]
    ) -> Map:
        """Return the factor the sub-pixels put on the light at places of the panel."""
        u, v = at
        factor = np.ones(u.shape, dtype=np.float32)
        for one, coarse in zip(seen.harmonics, contrasts, strict=True):
            turns = np.float32(one.across) * u + np.float32(one.down) * v
            turns += np.float32(np.angle(one.amplitude[which]) / (2 * np.pi))
            turns -= np.rint(turns)
            wave = np.cos(np.float32(2 * np.pi) * turns)
            wave *= _between_knots(coarse, *pixels)
            factor += np.float32(abs(one.amplitude[which])) * wave
        return factor


def even_surface(
    camera: CameraModel,
    luminance_cd_m2: float,
    exposure_s: float,
    surface: PanelSurface,
    *,
    slope: tuple[float, float] = (0.0, 0.0),
    bowl: tuple[float, float] = (0.0, 0.0),
) -> Map:
    """Return the mean electrons of each pixel before a flat surface, lit by the panel's white, that fills the frame.

    Args:
        camera: sensor and lens.
        luminance_cd_m2: in the frame's middle.
        exposure_s: how long it is looked at.
        surface: the panel whose white it is.
        slope: by how much its light rises from edge to edge, across and down, as a share.
        bowl: by how much its light is more at the edges than in the middle, across and down, as a share.
    """
    out = frame_shading(camera)
    width, height = camera.sensor.size_px
    if slope != (0.0, 0.0) or bowl != (0.0, 0.0):
        across, down = ((np.arange(side) + 0.5) / side - 0.5 for side in (width, height))
        rows = slope[1] * down + 4 * bowl[1] * down**2
        out *= (1 + slope[0] * across + 4 * bowl[0] * across**2 + rows[:, None]).astype(np.float32)
    white = white_response(camera, surface)
    for which, top, left in _bayer(camera):
        out[top::2, left::2] *= np.float32(white[which])
    out *= np.float32(luminance_cd_m2 * exposure_s / camera.lens.f_number**2)
    return out


def frame_shading(camera: CameraModel) -> Map:
    """Return the light over a frame as a share of that on the axis, ``(height, width)``."""
    width, height = camera.sensor.size_px
    out = np.empty((height, width), dtype=np.float32)
    x = np.arange(width) + 0.5
    for rows in strips(height):
        out[rows] = shading(camera, x, (np.arange(rows.start, rows.stop) + 0.5)[:, None])
    return out


def strips(height: int) -> Iterator[slice]:
    """Cut rows into strips that begin at even rows."""
    return (slice(top, min(top + _STRIP, height)) for top in range(0, height, _STRIP))


def _bayer(camera: CameraModel) -> list[tuple[int, int, int]]:
    """Return filter, row and column of the four pixels at the top left."""
    filters = filter_index(camera.sensor.bayer)
    return [(int(filters[top, left]), top, left) for top in (0, 1) for left in (0, 1)]


def _places(view: View) -> tuple[Map, Map]:
    width, height = view.frame_px
    u, v = (np.empty((height, width), dtype=np.float32) for _ in range(2))
    x = np.arange(width) + 0.5
    for rows in strips(height):
        y = (np.arange(rows.start, rows.stop) + 0.5)[:, None]
        at = view.to_panel(np.stack(np.broadcast_arrays(x, y), axis=-1))
        u[rows], v[rows] = at[..., 0], at[..., 1]
    return u, v


def _knots(side: int) -> NDArray[np.float64]:
    return np.arange(-(-side // _KNOTS_PX) + 1, dtype=np.float64) * _KNOTS_PX


def _between_knots(coarse: Map, y: Whole, x: Whole) -> Map:
    """Interpolate linearly between knots at the middles of pixels y (rows) and x (columns)."""
    for axis, at in ((0, y), (1, x)):
        place = (at + 0.5) / _KNOTS_PX
        low = place.astype(np.intp)
        share = (place - low).astype(np.float32)
        if axis == 0:
            share = share[:, None]
        coarse = np.take(coarse, low, axis) * (1 - share) + np.take(coarse, low + 1, axis) * share
    return coarse
