"""What may be wrong with a bench, done to readings that were taken without it: one function a fault.

Each takes the readings of one checkpoint with a random source of its own, and gives new ones; what the folder knows of
the fault (a rounding meter is seen in its digits, room light was measured) stands beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from benchmarks.support.attacked_plans import CHECKPOINT, SHORT, TEN_ZONES
from panelwear.readings.table import ReadingTable
from panelwear.uncertainty.meter import DEFAULTS

HUES = ("red", "green", "blue")
Real = NDArray[np.float64]
Done = Callable[[ReadingTable, np.random.Generator, int], ReadingTable]
"""From readings, a random source and the number of the checkpoint (0, 1) to other readings."""


def with_XYZ(table: ReadingTable, XYZ: Real) -> ReadingTable:
    """Return the table with other tristimulus values, ``(n, 3)``."""
    return replace(table, X=XYZ[:, 0], Y=XYZ[:, 1], Z=XYZ[:, 2])


def slow(share: float, tau_s: float, *, each: bool = False) -> Done:
    """Multiply by a first-order noise with a time constant; ``each``: X, Y and Z wander each on their own."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        wander = np.column_stack([_wander(table.monotonic_s, share, tau_s, rng) for _ in range(3 if each else 1)])
        return with_XYZ(table, table.XYZ * np.exp(wander))

    return done


def _wander(times_s: Real, share: float, tau_s: float, rng: np.random.Generator) -> Real:
    drawn, found = rng.standard_normal(len(times_s)), np.empty(len(times_s))
    found[0] = drawn[0]
    kept = np.exp(-np.diff(times_s) / tau_s)
    for i, keep in enumerate(kept, start=1):
        found[i] = keep * found[i - 1] + np.sqrt(1 - keep**2) * drawn[i]
    return share * found


def heavy_tails(share: float, dof: float = 3.0) -> Done:
    """Add noise to every reading that follows a t distribution of the same standard deviation."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        drawn = rng.standard_t(dof, len(table)) / np.sqrt(dof / (dof - 2))
        return with_XYZ(table, table.XYZ * (1 + share * drawn)[:, None])

    return done


def outliers(chance: float, share: float) -> Done:
    """Throw some readings off by a share, up or down."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        hit = rng.random(len(table)) < chance
        off = np.where(hit, share * rng.choice([-1.0, 1.0], len(table)), 0.0)
        return with_XYZ(table, table.XYZ * (1 + off)[:, None])

    return done


def digits(count: int) -> Done:
    """Round X, Y and Z to so many significant digits."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        XYZ = table.XYZ
        step = 10.0 ** (np.floor(np.log10(np.maximum(np.abs(XYZ), 1e-9))) - count + 1)
        return with_XYZ(table, np.round(XYZ / step) * step)

    return done


def xy_step(step: float) -> Done:
    """Give luminance to 0.01 cd/m² and x, y to a step, as a display with few places does, in the dark too."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        total = table.XYZ.sum(axis=1)
        safe = np.where(total > 0, total, 1.0)
        x, y = np.round(table.X / safe / step) * step, np.round(table.Y / safe / step) * step
        Y = np.round(table.Y, 2)
        told = (total > 0) & (Y > 0) & (y > 0)
        y = np.where(told, y, 1.0)
        XYZ = np.column_stack([x * Y / y, Y, (1 - x - y) * Y / y])
        return with_XYZ(table, np.where(told[:, None], XYZ, np.column_stack([0 * Y, Y, 0 * Y])))

    return done


def first_reading_only(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
    """Keep one reading of each showing."""
    return table.where(table.repeat == 1)


def linear_drift(share_per_h: float) -> Done:
    """Let the probe's scale run away, a share an hour."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        hours = (table.monotonic_s - table.monotonic_s[0]) / 3600
        return with_XYZ(table, table.XYZ * (1 + share_per_h * hours)[:, None])

    return done


def filters(share: float) -> Done:
    """Let the pass bands of the probe's filters shift from one evening to the next.

    Each filter errs on each primary's narrow spectrum by itself; a grey gets what its red, green and blue light get.
    """

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        each = 1 + share * rng.standard_normal((len(HUES), 3))
        lights = np.stack([_brightest(table, hue) for hue in HUES])
        factor = np.tile((lights * each).sum(axis=0) / lights.sum(axis=0), (len(table), 1))
        for hue, own in zip(HUES, each, strict=True):
            factor[_is_of(table, hue)] = own
        return with_XYZ(table, table.XYZ * factor)

    return done


def _is_of(table: ReadingTable, hue: str) -> NDArray[np.bool_]:
    drive = np.column_stack([table.red, table.green, table.blue])
    others = [i for i, name in enumerate(HUES) if name != hue]
    return np.asarray((drive[:, HUES.index(hue)] > 0) & (drive[:, others] == 0).all(axis=1))


def _brightest(table: ReadingTable, hue: str) -> Real:
    mine = table.where(_is_of(table, hue))
    return np.asarray(mine.XYZ[np.argmax(mine.Y)], dtype=np.float64)


def gains(share: float) -> Done:
    """Let the gains of X, Y and Z wander from one evening to the next, each on its own."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        return with_XYZ(table, table.XYZ * (1 + share * rng.standard_normal(3)))

    return done


def at_the_second(factor: tuple[float, float, float]) -> Done:
    """Multiply X, Y and Z at the second checkpoint only: another probe, another setting."""

    def done(table: ReadingTable, rng: np.random.Generator, number: int) -> ReadingTable:
        return with_XYZ(table, table.XYZ * np.array(factor)) if number else table

    return done


def room_light(cd_m2: float) -> Done:
    """Let the room's light into every reading of the second checkpoint."""

    def done(table: ReadingTable, rng: np.random.Generator, number: int) -> ReadingTable:
        added = cd_m2 * np.array([0.95, 1.0, 1.09]) if number else np.zeros(3)
        return with_XYZ(table, table.XYZ + added)

    return done


def several(*faults: Done) -> Done:
    """Do several things one after another."""

    def done(table: ReadingTable, rng: np.random.Generator, number: int) -> ReadingTable:
        for fault in faults:
            table = fault(table, rng, number)
        return table

    return done


def nothing(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
    """Leave the readings as they are."""
    return table


@dataclass(frozen=True, slots=True)
class Attack:
    """One fault, and what may be wanted of a comparison under it."""

    name: str
    do: Done = nothing
    is_known: bool = True
    """Whether the folder holds what is needed to know; if not, a suspicion must be said instead."""
    warm_up_s: float = 1800.0
    session_filters: float = 0.0
    """What ``probe.toml`` states of the filters' wander: each channel against white, and X and Z against Y."""
    probes: tuple[str, str] = ("P", "P")
    """Name of the probe as recorded at the two checkpoints."""
    plan: str = CHECKPOINT
    """What is read, see ``attacked_plans``."""


ATTACKS = (
    Attack("independent noise"),
    Attack("independent noise, short sequence", plan=SHORT),
    Attack("independent noise, ten zones", plan=TEN_ZONES),
    Attack("heavy tails 0.2 %", heavy_tails(0.002)),
    Attack("outliers 1 in 100, 1 %", outliers(0.01, 0.01)),
    *(
        Attack(f"slow noise {100 * share:.2f} %, {tau:g} s", slow(share, tau))
        for share in (0.0005, 0.001, 0.0015)
        for tau in (20.0, 60.0, 300.0)
    ),
    Attack("slow noise 0.10 %, 60 s, short sequence", slow(0.001, 60.0), plan=SHORT),
    Attack("slow noise 0.10 %, 60 s, ten zones", slow(0.001, 60.0), plan=TEN_ZONES),
    Attack("three digits", digits(3)),
    Attack("x, y to 0.001", xy_step(0.001)),
    Attack("one reading", first_reading_only),
    Attack("one reading, slow noise 0.10 %, 60 s", several(slow(0.001, 60.0), first_reading_only)),
    Attack("drift 2 %/h", linear_drift(0.02)),
    Attack("warm-up left (3 min)", warm_up_s=180.0),
    Attack("room light 0.5 cd/m2", room_light(0.5)),
    Attack("other probe, recorded", at_the_second((1.01, 1.03, 0.98)), probes=("P", "Q")),
    Attack("other probe, not recorded", at_the_second((1.01, 1.03, 0.98)), is_known=False),
    Attack("setting changed -5 %", at_the_second((0.95, 0.95, 0.95)), is_known=False),
    Attack("filters 0.1 %", filters(0.001), session_filters=DEFAULTS.session_filters),
    Attack("filters 0.2 %", filters(0.002), session_filters=DEFAULTS.session_filters),
    # X against Y wanders by the square root of two times as much as each gain; that is what evenings of one light tell.
    Attack("gains of X, Y, Z 0.1 %, as measured", gains(0.001), session_filters=0.001 * 2**0.5),
    Attack("gains of X, Y, Z 0.2 %, as measured", gains(0.002), session_filters=0.002 * 2**0.5),
    *(
        Attack(f"slow noise {100 * share:.2f} %, {tau:g} s, X Y Z each", slow(share, tau, each=True))
        for share in (0.0005, 0.0015)
        for tau in (20.0, 300.0)
    ),
)
