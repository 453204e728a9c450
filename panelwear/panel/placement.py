"""Where the probe was found to sit, and what it means when it sits elsewhere the next time."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from panelwear.uncertainty.estimate import Component

GRADIENT_PER_MM = 0.0002
"""Assumed change of luminance with place, 0.02 % a millimetre: 6 % over 300 mm (common practice, no source)."""

OFFSET = "placement offset"
"""Name of the component."""


@dataclass(frozen=True, slots=True)
class PlacementFound:
    """The probe's place on the screen as the screen itself found it."""

    place: str
    centre_px: tuple[float, float]
    centre_mm: tuple[float, float]
    """From the top left corner of the active area."""
    diameter_px: float
    diameter_mm: float
    u_centre_mm: tuple[float, float]
    """Standard uncertainties of the centre."""
    u_diameter_mm: float
    readings: int
    residual: float
    """Relative scatter of the readings about the fit; far more than the probe's own means no uniform disc."""
    notes: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """Say it to a person."""
        return (
            f"The probe sits {self.centre_mm[0]:.1f} mm from the left and {self.centre_mm[1]:.1f} mm from the top "
            f"(± {max(self.u_centre_mm):.2f} mm) and sees a disc of {self.diameter_mm:.1f} mm ± "
            f"{self.u_diameter_mm:.1f} mm; {self.readings} readings."
        )

    def to_json(self) -> dict[str, Any]:
        """Return it as plain data for ``json``."""
        return asdict(self)


def placement_from_json(data: Mapping[str, Any]) -> PlacementFound:
    """Restore what ``PlacementFound.to_json`` gave. Raises ``ValueError`` in one sentence when it is not that."""

    def pair(name: str) -> tuple[float, float]:
        first, second = data[name]
        return float(first), float(second)

    try:
        return PlacementFound(
            place=str(data["place"]),
            centre_px=pair("centre_px"),
            centre_mm=pair("centre_mm"),
            diameter_px=float(data["diameter_px"]),
            diameter_mm=float(data["diameter_mm"]),
            u_centre_mm=pair("u_centre_mm"),
            u_diameter_mm=float(data["u_diameter_mm"]),
            readings=int(data["readings"]),
            residual=float(data["residual"]),
            notes=tuple(map(str, data["notes"])),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(f"This is not a stored placement: {error} is missing or of the wrong kind.") from None


@dataclass(frozen=True, slots=True)
class NotFound:
    """The probe could not be found; one sentence says why and what to do."""

    place: str
    sentence: str
    readings: int


@dataclass(frozen=True, slots=True)
class Offset:
    """How far the probe sits from where it sat before."""

    dx_mm: float
    """Positive: now further to the right."""
    dy_mm: float
    """Positive: now further down."""
    u_mm: float

    @property
    def distance_mm(self) -> float:
        """Straight distance."""
        return math.hypot(self.dx_mm, self.dy_mm)

    @property
    def sentence(self) -> str:
        """Say how far off it sits and which way to move it."""
        if self.distance_mm <= max(2 * self.u_mm, 0.2):
            return f"The probe sits where it sat last time, within {max(2 * self.u_mm, 0.2):.1f} mm."
        moves = []
        if abs(self.dx_mm) >= 0.1:
            moves.append(f"{abs(self.dx_mm):.1f} mm to the {'left' if self.dx_mm > 0 else 'right'}")
        if abs(self.dy_mm) >= 0.1:
            moves.append(f"{abs(self.dy_mm):.1f} mm {'up' if self.dy_mm > 0 else 'down'}")
        return f"The probe sits {self.distance_mm:.1f} mm from where it sat last time: move it {' and '.join(moves)}."

    def share(self, gradient_per_mm: float = GRADIENT_PER_MM) -> float:
        """Return the standard uncertainty it gives to a luminance, as a share of that."""
        # The gradient's direction is unknown: its projection on the offset has variance 1/2.
        return gradient_per_mm * math.hypot(self.distance_mm, self.u_mm) / math.sqrt(2)

    def component(self, value: float, gradient_per_mm: float = GRADIENT_PER_MM, *, assumed: bool = True) -> Component:
        """Return what the offset adds to the uncertainty of a luminance compared with last time.

        Args:
            value: The luminance, in cd/m².
            gradient_per_mm: Relative change of luminance a millimetre at this place.
            assumed: Whether that is an assumption rather than measured at neighbouring places.
        """
        note = self.note(gradient_per_mm, assumed=assumed)
        return Component(OFFSET, abs(value) * self.share(gradient_per_mm), note=note)

    def note(self, gradient_per_mm: float = GRADIENT_PER_MM, *, assumed: bool = True) -> str:
        """Say what its component of uncertainty rests on."""
        how = "assumed" if assumed else "measured"
        return f"{self.distance_mm:.1f} mm from last time at {100 * gradient_per_mm:.3f} % a millimetre ({how})"


def offset(now: PlacementFound, before: PlacementFound) -> Offset:
    """Compare two placements at the same place."""
    u = math.hypot(max(now.u_centre_mm), max(before.u_centre_mm))
    return Offset(now.centre_mm[0] - before.centre_mm[0], now.centre_mm[1] - before.centre_mm[1], u)


def offset_from_json(record: Mapping[str, Any]) -> Offset | None:
    """Restore the offset stored with a placement (``offset_mm``, ``u_centre_mm``); ``None`` where there is none."""
    try:
        dx, dy = record["offset_mm"]
        # Both placements were found alike, so the earlier one is as uncertain as this one.
        return Offset(float(dx), float(dy), math.sqrt(2) * max(float(u) for u in record["u_centre_mm"]))
    except (KeyError, TypeError, ValueError):
        return None
