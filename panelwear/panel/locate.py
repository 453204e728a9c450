"""Find the probe on the screen: edges moved by bisection, then a fine scan, all fitted with a uniform disc."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.aperture import edge_of_share, share_left_of_edge
from panelwear.panel.edges import Axis, Look, edge_look
from panelwear.panel.placement import NotFound, PlacementFound
from patterns.frame import Codes
from sequences.place_names import place_name

Real = NDArray[np.float64]
Search = Generator[Look, float, PlacementFound | NotFound]

MOST_READINGS = 40
FINE_RADII = (-0.7, -0.25, 0.25, 0.7)
"""Edges of the fine scan: the outer ones tell the diameter, the inner ones the centre."""
_CROSSED = (0.1, 0.9)
"""An edge crosses the disc when it leaves between these shares on its left: far outside what scatter can fake."""
SEEN_CONTRAST = 1.25
"""A probe on the screen reads at least this many times more on the bright side than on the dark one."""


@dataclass(frozen=True, slots=True)
class Seat:
    """The screen a probe is looked for on."""

    place: str
    size_px: tuple[int, int]
    pitch_mm: tuple[float, float]
    sides: tuple[Codes, Codes]
    """Codes of the bright and the dark side (``panelwear.panel.edges.edge_codes``)."""


class _Lost(Exception):  # noqa: N818 - it is about the probe
    """The search cannot go on; the sentence says why."""


@dataclass(slots=True)
class _Searcher:
    seat: Seat
    looks: list[Look] = field(default_factory=list)
    light: list[float] = field(default_factory=list)
    taken: int = 0

    def length(self, axis: Axis) -> int:
        return self.seat.size_px[0 if axis == "x" else 1]

    def read(self, axis: Axis, edge_px: int, *, swapped: bool = False) -> Generator[Look, float, float]:
        """Show an edge and take its reading; a failed one is taken once more."""
        look = edge_look(self.seat.size_px, axis, edge_px, self.seat.sides, swapped=swapped)
        for _ in range(2):
            if self.taken >= MOST_READINGS:
                raise _Lost(f"it was not found within {MOST_READINGS} readings")
            self.taken += 1
            luminance = yield look
            if math.isfinite(luminance) and luminance >= 0:
                self.looks.append(look)
                self.light.append(luminance)
                return luminance
        raise _Lost("the probe gave no usable reading twice in a row")

    def pass_by(self, axis: Axis, edge_px: int) -> Generator[Look, float, None]:
        """Show an edge without reading it, so that no more than half the screen changes at a time."""
        yield edge_look(
            self.seat.size_px, axis, edge_px % self.length(axis), self.seat.sides, swapped=False, read=False
        )

    def share(self, luminance: float) -> float:
        """Return how much of the disc is on the bright side."""
        low, high = min(self.light), max(self.light)
        return (luminance - low) / (high - low)

    def quarters(self) -> Generator[Look, float, tuple[int, int]]:
        """Turn the lit half by a quarter of the width three times: which quarter holds the probe?"""
        half = self.length("x") // 2
        quarter = half // 2
        first = yield from self.read("x", half)
        second = yield from self.read("x", quarter)
        yield from self.read("x", half, swapped=True)
        yield from self.read("x", quarter, swapped=True)
        if max(self.light) < SEEN_CONTRAST * max(min(self.light), 1e-9) or max(self.light) <= 0:
            raise _Lost("light and dark sides read the same, so it is not on this screen, or its cap is on")
        left, inner = self.share(first) > 0.5, self.share(second) > 0.5
        if left:
            return (0, quarter) if inner else (quarter, half)
        return (half + quarter, self.length("x")) if inner else (half, half + quarter)

    def known_share(self, axis: Axis, edge_px: int) -> float | None:
        """Return the share already read at an edge, from whichever reading put an edge there."""
        half = self.length(axis) // 2
        for look, luminance in zip(self.looks, self.light, strict=True):
            if look.axis != axis or look.swapped:
                continue
            if look.edge_px == edge_px:
                return self.share(luminance)
            if look.edge_px + half == edge_px:
                return 1 - self.share(luminance)
        return None

    def crossing(self, axis: Axis, low: int, high: int) -> Generator[Look, float, tuple[int, float, int, int]]:
        """Halve the interval until an edge crosses the disc; return edge, share left of it, and the interval."""
        for edge in (low, high):
            share = self.known_share(axis, edge)
            if share is not None and _CROSSED[0] < share < _CROSSED[1]:
                width = high - low
                return edge, share, max(edge - width, 0), min(edge + width, self.length(axis))
        while high - low > 1:
            edge = (low + high) // 2
            share = self.share((yield from self.read(axis, edge)))
            if _CROSSED[0] < share < _CROSSED[1]:
                return edge, share, low, high
            low, high = (low, edge) if share >= _CROSSED[1] else (edge, high)
        raise _Lost("its aperture seems smaller than a pixel")

    def scale(
        self, axis: Axis, edge: int, share: float, low: int, high: int
    ) -> Generator[Look, float, tuple[float, float]]:
        """Read a second edge across the disc; return centre and radius in pixels."""
        while True:
            other = (low + edge) // 2 if share > 0.5 else (edge + high + 1) // 2
            if other == edge:
                return float(edge), 1.0
            second = self.share((yield from self.read(axis, other)))
            if _CROSSED[0] < second < _CROSSED[1]:
                k0, k1 = edge_of_share(share), edge_of_share(second)
                if abs(k1 - k0) < 0.05:
                    raise _Lost("moving the edge hardly changes the reading")
                radius = (other - edge) / (k1 - k0)
                return edge - radius * k0, radius
            low, high = (other, high) if second < 0.5 else (low, other)

    def fine(self, axis: Axis, centre: float, radius: float) -> Generator[Look, float, None]:
        """Scan edges across the disc upwards, and downwards with the sides swapped: a steady drift drops out."""
        length = self.length(axis)
        edges = [min(max(round(centre + k * radius), 1), length - 1) for k in FINE_RADII]
        for edge in edges:
            yield from self.read(axis, edge)
        yield from self.pass_by(axis, edges[-1] + length // 4)
        for edge in reversed(edges):
            yield from self.read(axis, edge, swapped=True)

    def search(self) -> Generator[Look, float, PlacementFound]:
        pitch_x, pitch_y = self.seat.pitch_mm
        low, high = yield from self.quarters()
        edge, share, low, high = yield from self.crossing("x", low, high)
        x, radius = yield from self.scale("x", edge, share, low, high)
        yield from self.fine("x", x, radius)
        edge, share, _, _ = yield from self.crossing("y", 0, self.length("y"))
        radius_y = radius * pitch_x / pitch_y
        y = edge - radius_y * edge_of_share(share)
        yield from self.fine("y", y, radius_y)
        return self.fit(x * pitch_x, y * pitch_y, radius * pitch_x)

    def fit(self, x_mm: float, y_mm: float, radius_mm: float) -> PlacementFound:
        """Fit centre, diameter and both sides' light to all readings."""
        from scipy.optimize import least_squares

        light = np.asarray(self.light)

        def off(parameters: Real) -> Real:
            return np.asarray(self.model(parameters) / light - 1, dtype=np.float64)

        start = np.array([x_mm, y_mm, radius_mm, light.max(), light.min()])
        found = least_squares(off, start, x_scale=np.maximum(np.abs(start), 1e-3))
        dof = len(light) - len(start)
        residual = math.sqrt(2 * found.cost / dof)
        jacobian = np.asarray(found.jac, dtype=np.float64)
        covariance = np.linalg.pinv(jacobian.T @ jacobian) * residual**2
        u = np.sqrt(np.diag(covariance))
        x, y, radius = (float(v) for v in found.x[:3])
        pitch = self.seat.pitch_mm
        return PlacementFound(
            place=self.seat.place,
            centre_px=(x / pitch[0], y / pitch[1]),
            centre_mm=(x, y),
            diameter_px=2 * radius / pitch[0],
            diameter_mm=2 * radius,
            u_centre_mm=(float(u[0]), float(u[1])),
            u_diameter_mm=2 * float(u[2]),
            readings=self.taken,
            residual=residual,
            notes=self.notes(x, y, radius, residual),
        )

    def model(self, parameters: Real) -> Real:
        """Return the luminance of every reading for a disc and the light of both sides."""
        x, y, radius, bright, dark = parameters
        made = []
        for look in self.looks:
            centre = x if look.axis == "x" else y
            pitch = self.seat.pitch_mm[0 if look.axis == "x" else 1]
            share = _lit_share_of_disc(look, self.length(look.axis), pitch, centre, max(radius, 1e-6))
            made.append(dark + (bright - dark) * share)
        return np.asarray(made)

    def notes(self, x: float, y: float, radius: float, residual: float) -> tuple[str, ...]:
        """Say what is odd."""
        said = []
        width, height = (n * p for n, p in zip(self.seat.size_px, self.seat.pitch_mm, strict=True))
        room = min(x, y, width - x, height - y)
        if room < radius:
            said.append("The probe overhangs the edge of the screen: move it inwards.")
        elif room < 2 * radius:
            said.append("The probe sits less than one aperture from the edge of the screen.")
        if residual > 0.02:
            said.append(f"The readings scatter by {100 * residual:.1f} % about a uniform disc: its place is less sure.")
        return tuple(said)


def _lit_share_of_disc(look: Look, length: int, pitch: float, centre_mm: float, radius_mm: float) -> float:
    share = 0.0
    for fill in look.frame.fills:
        start, width = (fill.rect.x, fill.rect.w) if look.axis == "x" else (fill.rect.y, fill.rect.h)
        # At the screen's own border the light simply ends; the disc is taken to lie on the screen.
        high = 1.0 if start + width >= length else share_left_of_edge(((start + width) * pitch - centre_mm) / radius_mm)
        low = 0.0 if start <= 0 else share_left_of_edge((start * pitch - centre_mm) / radius_mm)
        share += high - low
    return share


def locate(seat: Seat) -> Search:
    """Find the probe's centre and aperture.

    Yields looks: show the frame and, where ``read`` is true, send the luminance in cd/m² of one reading (``nan`` for a
    failed one; any number for a frame that is not read). At most 40 readings. Every frame lights the same area, so a
    limiter does the same to all of them; no step changes more than half the screen, by less than 20 cd/m².

    Returns:
        Where it was found, or why it was not.
    """
    searcher = _Searcher(seat)
    try:
        return (yield from searcher.search())
    except _Lost as why:
        sentence = (
            f"The probe was not found at '{place_name(seat.place)}': {why}. Put it flat on the target, and try again."
        )
        return NotFound(seat.place, sentence, searcher.taken)
