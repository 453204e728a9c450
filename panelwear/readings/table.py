"""Readings as a tidy table: one row a reading, one numpy array a column. Figures are pure functions of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.row import Row

Text = NDArray[np.str_]
Real = NDArray[np.float64]
Whole = NDArray[np.int64]

UNUSABLE_FLAGS = ("disturbed", "over-range", "skipped", "impossible", "implausible")
"""Readings with one of these, or without Y, never enter a figure."""


@dataclass(frozen=True, slots=True, eq=False)
class ReadingTable:
    """Columns of equal length n; missing numbers are ``nan``. X, Y, Z as the probe sent them, in cd/m²."""

    checkpoint: Text
    """Name of the checkpoint's folder, so that several can stand in one table."""
    session: Whole
    visit: Whole
    pair: Text
    step: Whole
    monotonic_s: Real
    """Clock of one run of the machine: times of two sessions do not compare on it."""
    time_utc_s: Real
    """Seconds since 1970-01-01 UTC, which do compare; ``nan`` where the row has no time."""
    segment: Whole
    """Drift segment: rises by one when a run was resumed; time and drift do not reach across it."""
    patch: Text
    purpose: Text
    place: Text
    pattern: Text
    red: Real
    green: Real
    blue: Real
    lit_share: Real
    target_cd_m2: Real
    level_basis: Text
    repeat: Whole
    X: Real
    Y: Real
    Z: Real
    integration_s: Real
    settled_s: Real
    geometry_sha256: Text
    flags: Text

    def __len__(self) -> int:
        return len(self.Y)

    def where(self, keep: NDArray[np.bool_]) -> ReadingTable:
        """Keep the rows where ``keep`` (bool, length n) is true, in order."""
        if keep.all():
            return self
        return replace(self, **{f.name: getattr(self, f.name)[keep] for f in fields(self)})

    def usable(self) -> ReadingTable:
        """Keep the rows that may enter a figure."""
        bad = np.zeros(len(self), dtype=bool)
        for flag in UNUSABLE_FLAGS:
            bad |= np.char.find(self.flags, flag) >= 0
        return self.where(~bad & np.isfinite(self.Y))

    @property
    def XYZ(self) -> Real:
        """Tristimulus values, ``(n, 3)``, cd/m²."""
        return np.column_stack([self.X, self.Y, self.Z])


def from_rows(rows: Iterable[Row], *, checkpoint: str = "", segment_starts: Sequence[int] = (1,)) -> ReadingTable:
    """Make a table of CSV rows. ``segment_starts``: the first ``row`` of each drift segment, ascending."""
    listed = list(rows)
    starts = np.asarray(sorted(segment_starts), dtype=np.int64)
    numbers = np.array([r.row for r in listed], dtype=np.int64)

    def text(name: str) -> Text:
        return np.array([getattr(r, name) for r in listed], dtype=np.str_)

    def real(name: str) -> Real:
        values = (getattr(r, name) for r in listed)
        return np.array([np.nan if v is None else float(v) for v in values], dtype=np.float64)

    def whole(name: str) -> Whole:
        return np.array([getattr(r, name) for r in listed], dtype=np.int64)

    return ReadingTable(
        checkpoint=np.array([checkpoint] * len(listed), dtype=np.str_),
        session=whole("session"),
        visit=whole("visit"),
        pair=text("pair"),
        step=whole("step"),
        monotonic_s=real("monotonic_s"),
        time_utc_s=np.array([_since_1970(r.time_utc) for r in listed], dtype=np.float64),
        segment=np.searchsorted(starts, numbers, side="right").astype(np.int64),
        patch=text("patch"),
        purpose=text("purpose"),
        place=text("place"),
        pattern=text("pattern"),
        red=real("red"),
        green=real("green"),
        blue=real("blue"),
        lit_share=real("lit_share"),
        target_cd_m2=real("target_cd_m2"),
        level_basis=text("level_basis"),
        repeat=whole("repeat"),
        X=real("X_cd_m2"),
        Y=real("Y_cd_m2"),
        Z=real("Z_cd_m2"),
        integration_s=real("integration_s"),
        settled_s=real("settled_s"),
        geometry_sha256=text("geometry_sha256"),
        flags=text("flags"),
    )


def _since_1970(time_utc: str) -> float:
    try:
        read = datetime.fromisoformat(time_utc)
    except ValueError:
        return math.nan
    return (read if read.tzinfo is not None else read.replace(tzinfo=UTC)).timestamp()
