"""What a reading is, and what everything that gives readings can do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

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
