"""One row of ``readings.csv``: one reading. ``docs/csv.md`` describes every column."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """One reading as stored; ``None`` and empty text are missing. Field order is column order."""

    row: int
    session: int
    visit: int
    pair: str
    time_utc: str
    monotonic_s: float
    step: int
    patch: str
    purpose: str
    place: str
    pattern: str
    red: float
    green: float
    blue: float
    background: str
    rect_px: str
    """``x y w h``."""
    lit_share: float
    target_cd_m2: float | None
    level_basis: str
    """``code``, ``measured-response``, ``assumed-response``."""
    repeat: int
    X_cd_m2: float | None
    Y_cd_m2: float | None
    Z_cd_m2: float | None
    x: float | None
    y: float | None
    u_prime: float | None
    v_prime: float | None
    cct_K: float | None
    duv: float | None
    integration_s: float
    settled_s: float
    geometry_sha256: str
    frame_sha256: str
    flags: str
    note: str
