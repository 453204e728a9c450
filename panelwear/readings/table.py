"""Readings as a tidy table: one row a reading, one numpy array a column. Figures are pure functions of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.by_column import ByColumn
from panelwear.readings.corrections import replaced_rows
from panelwear.readings.instants import since_1970
from panelwear.readings.labels import Labels, labels_of
from panelwear.readings.row import Row

Text = Labels
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

    def __post_init__(self) -> None:
        for name in _TEXTS:
            given = getattr(self, name)
            if not isinstance(given, Labels):  # an array of texts
                object.__setattr__(self, name, labels_of(given))

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
            bad |= self.flags.contains(flag)
        return self.where(~bad & np.isfinite(self.Y))

    @property
    def XYZ(self) -> Real:
        """Tristimulus values, ``(n, 3)``, cd/m²."""
        return np.column_stack([self.X, self.Y, self.Z])


_TEXTS = ("checkpoint", "pair", "patch", "purpose", "place", "pattern", "level_basis", "geometry_sha256", "flags")
_OTHERWISE_NAMED = {"X": "X_cd_m2", "Y": "Y_cd_m2", "Z": "Z_cd_m2", "time_utc_s": "time_utc"}
"""Columns of the table that ``readings.csv`` names otherwise."""


def table_of(found: ByColumn, *, checkpoint: str = "", segment_starts: Sequence[int] = (1,)) -> ReadingTable:
    """Make a table of the columns of a ``readings.csv``, which it shares; arguments as ``from_rows`` has them.

    Rows that a later one replaces are left out: no figure ever sees them.
    """
    gone = replaced_rows(found.texts["flags"].there())
    if gone:
        found = found.where(~np.isin(found.numbers["row"], sorted(gone)))
    held: dict[str, Any] = {**found.numbers, **found.texts}
    names = [f.name for f in fields(ReadingTable) if f.name not in {"checkpoint", "segment"}]
    return ReadingTable(
        checkpoint=Labels(np.zeros(len(found), dtype=np.uint8), (checkpoint,)),
        segment=_segments(found.numbers["row"], segment_starts),
        **{name: held[_OTHERWISE_NAMED.get(name, name)] for name in names},
    )


def _segments(numbers: Whole, starts: Sequence[int]) -> Whole:
    return np.searchsorted(np.asarray(sorted(starts), dtype=np.int64), numbers, side="right").astype(np.int64)


def from_rows(rows: Iterable[Row], *, checkpoint: str = "", segment_starts: Sequence[int] = (1,)) -> ReadingTable:
    """Make a table of CSV rows, without those a later one replaces.

    ``segment_starts``: the first ``row`` of each drift segment, ascending.
    """
    listed = list(rows)
    gone = replaced_rows(row.flags for row in listed)
    listed = [row for row in listed if row.row not in gone]

    def text(name: str) -> Text:
        return labels_of([getattr(r, name) for r in listed])

    def real(name: str) -> Real:
        values = (getattr(r, name) for r in listed)
        return np.array([np.nan if v is None else float(v) for v in values], dtype=np.float64)

    def whole(name: str) -> Whole:
        return np.array([getattr(r, name) for r in listed], dtype=np.int64)

    return ReadingTable(
        checkpoint=labels_of([checkpoint] * len(listed)),
        session=whole("session"),
        visit=whole("visit"),
        pair=text("pair"),
        step=whole("step"),
        monotonic_s=real("monotonic_s"),
        time_utc_s=np.array([since_1970(r.time_utc) for r in listed], dtype=np.float64),
        segment=_segments(whole("row"), segment_starts),
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
