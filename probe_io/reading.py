"""What a reading is, what gives readings, and how X, Y, Z in cd/m² come from what a meter shows.

Chromaticity: CIE 15, x = X / (X + Y + Z), u' = 4X / (X + 15Y + 3Z), v' = 9Y / (X + 15Y + 3Z).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

Idle = Callable[[], None]
"""Called at least every 20 ms while a probe is waited for, so that the screen stays alive. May raise to cancel."""


@dataclass(frozen=True, slots=True)
class ProbeIdentity:
    """Who answered when the link was opened; empty strings where the instrument does not say."""

    instrument: str
    """Name of the instrument file, or ``keyboard``."""
    link: str
    """The probe URL it was reached by."""
    model: str = ""
    serial: str = ""
    firmware: str = ""
    reply: bytes = b""
    """The raw identification reply."""
    instrument_sha256: str = ""
    """Digest of the instrument file's bytes."""

    @property
    def name(self) -> str:
        """Model and serial number, as far as they are told; else the instrument file's name."""
        return " ".join(word for word in (self.model, self.serial) if word) or self.instrument


@dataclass(frozen=True, slots=True)
class Reading:
    """One tristimulus measurement in cd/m², or why there is none.

    A meter that gives luminance only leaves ``X_cd_m2`` and ``Z_cd_m2`` as ``None``. A failed reading has
    ``Y_cd_m2`` ``None`` and says why in ``note``; it is never silently dropped.
    """

    X_cd_m2: float | None
    Y_cd_m2: float | None
    Z_cd_m2: float | None
    integration_s: float
    """As reported by the instrument, else as requested."""
    requested_at_s: float
    """Monotonic clock when the request was sent."""
    took_s: float
    """From request to the end of the reply."""
    flags: tuple[str, ...] = ()
    """Of ``low-light over-range retried typed-in skipped``."""
    note: str = ""
    raw: bytes = b""


class Probe(Protocol):
    """A colorimeter, whatever it is connected by. Errors are ``probe_io.errors.ProbeError`` and below."""

    def open(self) -> ProbeIdentity:
        """Open the link, identify, apply the opening exchange."""
        ...

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        """Take one reading; blocks, calling ``idle`` meanwhile."""
        ...

    def close(self) -> None:
        """Send the closing exchange and let the link go; never raises for a link that is already gone."""
        ...


@runtime_checkable
class Identifying(Probe, Protocol):
    """A probe that can be asked in the middle of a run who it is."""

    def identify(self, idle: Idle | None = None) -> bool:
        """Ask; ``AnotherMeter`` when it is not the one that was opened, ``False`` where it cannot be asked."""
        ...

    def light_changes(self) -> None:
        """Hear that other light is read from now on."""
        ...


@runtime_checkable
class Controllable(Probe, Protocol):
    """A probe whose line, after a missing answer, is proved by reading a known patch: nothing it can be asked does."""

    by_control: bool
    """Whoever reads does that: a reading whose answer is missing then fails at once."""

    @property
    def control_due(self) -> bool:
        """Whether nothing may be believed before a known patch was read."""
        ...

    def line_is_proved(self) -> None:
        """Hear that a known patch read as it is known."""
        ...

    def line_is_lost(self) -> None:
        """Hear that it did not: the step is looked for anew before the next question."""
        ...


HOLES: dict[str, tuple[str, ...]] = {
    "XYZ": ("X", "Y", "Z"),
    "Yxy": ("Y", "x", "y"),
    "Yu'v'": ("Y", "u_prime", "v_prime"),
    "Y": ("Y",),
}
"""Quantity → names of the holes its reply must have."""

FOOTLAMBERT_CD_M2 = 1.0 / (math.pi * 0.3048**2)
"""1 fL is 1/π cd/ft² (ANSI/IEEE SI 10), with the foot of 0.3048 m exactly."""

UNITS: dict[str, float] = {
    "cd/m2": 1.0,
    "cd/m²": 1.0,
    "fL": FOOTLAMBERT_CD_M2,
    # A meter held to a Lambertian surface shows its exitance, E = π L: lux that stand for π times the luminance.
    "lx·pi": 1.0 / math.pi,
    "lx·π": 1.0 / math.pi,
}
"""Unit → what one of it is in cd/m²."""

Tristimulus = tuple[float | None, float, float | None]


def tristimulus(quantity: str, values: Mapping[str, float], factor: float = 1.0) -> Tristimulus:
    """Convert one reply to (X, Y, Z) in cd/m²; X and Z are ``None`` where the reply holds no chromaticity.

    Args:
        quantity: A key of ``HOLES``.
        values: One number for each hole of that quantity.
        factor: cd/m² in one unit of the reply.
    """
    Y = values["Y"] * factor
    if quantity == "XYZ":
        return values["X"] * factor, Y, values["Z"] * factor
    if quantity == "Yxy":
        x, y = values["x"], values["y"]
        if y <= 0.0:
            return None, Y, None
        return Y * x / y, Y, Y * (1.0 - x - y) / y
    if quantity == "Yu'v'":
        u, v = values["u_prime"], values["v_prime"]
        if v <= 0.0:
            return None, Y, None
        return Y * 9.0 * u / (4.0 * v), Y, Y * (12.0 - 3.0 * u - 20.0 * v) / (4.0 * v)
    return None, Y, None
