"""Time and table of the numeric fast path: when each reading is taken, and the columns it ends in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.table import ReadingTable
from patterns.frame import Frame

Real = NDArray[np.float64]
Whole = NDArray[np.int64]

MOVE_S = 20.0
"""What a person takes to move the probe."""
FADE_S = 0.4
OVERHEAD_S = 0.05
"""Of one reading, beyond its integration."""
_START_S = 1000.0


class Described(Protocol):
    """What the table needs of a patch."""

    @property
    def key(self) -> str: ...  # noqa: D102
    @property
    def purpose(self) -> str: ...  # noqa: D102
    @property
    def place(self) -> str: ...  # noqa: D102
    @property
    def frame(self) -> Frame: ...  # noqa: D102
    @property
    def codes(self) -> tuple[float, float, float]: ...  # noqa: D102
    @property
    def visit(self) -> int: ...  # noqa: D102
    @property
    def pair(self) -> str: ...  # noqa: D102
    @property
    def step(self) -> int: ...  # noqa: D102
    @property
    def target_cd_m2(self) -> float: ...  # noqa: D102
    @property
    def level_basis(self) -> str: ...  # noqa: D102


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """One entry a reading, in order."""

    patch: Whole
    """Index of the patch."""
    repeat: Whole
    """From 1."""
    on_s: Real
    """Since the panel was switched on."""
    standing_s: Real
    """Since the patch stood on the screen."""
    integration_s: Real


def times_of(patches: Sequence[tuple[int, int, float, float]], warm_up_s: float) -> Times:
    """Lay the readings out in time; each patch gives visit, readings, settling and integration in seconds."""
    columns: list[tuple[int, int, float, float, float]] = []
    now, last_visit = warm_up_s, None
    for index, (visit, reads, settle_s, integration_s) in enumerate(patches):
        now += (MOVE_S if visit != last_visit else 0.0) + FADE_S
        last_visit, began = visit, now
        now += settle_s
        for repeat in range(1, reads + 1):
            columns.append((index, repeat, now, now - began, integration_s))
            now += integration_s + OVERHEAD_S
    patch, repeat_, on_s, standing_s, integration = np.array(columns, dtype=np.float64).reshape(-1, 5).T
    return Times(patch.astype(np.int64), repeat_.astype(np.int64), on_s, standing_s, integration)


def table_of(
    patches: Sequence[Described], geometry: Sequence[str], times: Times, XYZ: Real, checkpoint: str
) -> ReadingTable:
    """Make the table an inspection would have left."""
    each, n = times.patch, len(times.patch)

    def text(values: Sequence[str]) -> Any:
        return np.array(values, dtype=np.str_)[each]

    def real(values: Sequence[float]) -> Real:
        return np.array(values, dtype=np.float64)[each]

    def whole(values: Sequence[int]) -> Whole:
        return np.array(values, dtype=np.int64)[each]

    return ReadingTable(
        checkpoint=np.full(n, checkpoint),
        session=np.ones(n, dtype=np.int64),
        visit=whole([p.visit for p in patches]),
        pair=text([p.pair for p in patches]),
        step=whole([p.step for p in patches]),
        monotonic_s=_START_S + times.on_s,
        time_utc_s=np.full(n, np.nan),
        segment=np.ones(n, dtype=np.int64),
        patch=text([p.key for p in patches]),
        purpose=text([p.purpose for p in patches]),
        place=text([p.place for p in patches]),
        pattern=text([p.frame.pattern for p in patches]),
        red=real([p.codes[0] for p in patches]),
        green=real([p.codes[1] for p in patches]),
        blue=real([p.codes[2] for p in patches]),
        lit_share=real([p.frame.lit_share for p in patches]),
        target_cd_m2=real([p.target_cd_m2 for p in patches]),
        level_basis=text([p.level_basis for p in patches]),
        repeat=times.repeat,
        X=XYZ[:, 0],
        Y=XYZ[:, 1],
        Z=XYZ[:, 2],
        integration_s=times.integration_s,
        settled_s=times.standing_s,
        geometry_sha256=text(geometry),
        flags=np.full(n, "ok"),
    )
