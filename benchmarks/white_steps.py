"""How far is the step of white off, from white alone and put together with what red, green and blue kept?

Pairs of checkpoints of simulated panels, all different, read by the numeric fast path: reference, black, primaries and
white of the shipped checkpoint. What the probe really does to them and what is stated of it is a bench's own.

    python -m benchmarks.white_steps                   200 pairs a bench
    python -m benchmarks.white_steps --pairs 40 --only worn
"""

from __future__ import annotations

import argparse
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from benchmarks.comparison_power import Altered, binomial_interval, meter_of, plan_for, shift_by
from benchmarks.coverage import PERFECT
from benchmarks.fast_panel.readings import Plan, plan_of, read_plan
from benchmarks.support.attacks import HUES, Done, several, with_XYZ
from panelwear.colorimetry.basic import uv_prime_of
from panelwear.compare.changes import Step, VectorChange
from panelwear.compare.differences import compare_circumstances
from panelwear.compare.pairing import paired
from panelwear.compare.verdict import p_of_vector
from panelwear.compare.white_step import WhiteStep, white_step
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evidence import Evidence, evidence_of, put_together
from panelwear.figures.record_facts import RecordFacts
from panelwear.readings.table import ReadingTable
from panelwear.simulation.model import drawn_panel
from panelwear.simulation.panel import PanelState, SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE
from panelwear.simulation.usage import ACTIVE_AREA_MM
from panelwear.uncertainty.chromaticity import tristimulus_per_xy
from panelwear.uncertainty.meter import DEFAULTS, MeterTerms

Real = NDArray[np.float64]

TERMS = meter_of(DEFAULT_PROBE)
ASSUMED = replace(TERMS, session_filters=DEFAULTS.session_filters)
FIRST_OF_TEN = 0.05 / 10
"""What the first of ten figures tested together must come under to be called changed."""


def hues(share: float) -> Done:
    """Let the probe err on each channel's narrow spectrum by itself, anew every evening; greys have no such error."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        drawn = 1 + share * rng.standard_normal(3)
        factor = np.ones(len(table))
        for hue, err in zip(HUES, drawn, strict=True):
            factor[_of(table, hue)] = err
        return with_XYZ(table, table.XYZ * factor[:, None])

    return done


def gains(share: float) -> Done:
    """Let the probe's X and Z wander against Y, anew every evening; Y's own wander is its scale."""

    def done(table: ReadingTable, rng: np.random.Generator, _: int) -> ReadingTable:
        X, Z = 1 + share * rng.standard_normal(2)
        return with_XYZ(table, table.XYZ * np.array([X, 1.0, Z]))

    return done


def _of(table: ReadingTable, hue: str) -> NDArray[np.bool_]:
    return np.char.find(table.patch, f"/{hue}/c255/") >= 0


def own_colours(spread_xy: float) -> Done:
    """Let each channel's own x and y move by so much from the first checkpoint to the second, white's with them."""

    def done(table: ReadingTable, rng: np.random.Generator, number: int) -> ReadingTable:
        drawn = spread_xy * rng.standard_normal((3, 2))
        if not number:
            return table
        XYZ, whites = table.XYZ.copy(), _of(table, "grey")
        for hue, shift in zip(HUES, drawn, strict=True):
            own = _of(table, hue)
            moved = tristimulus_per_xy(XYZ[own].mean(axis=0)) @ shift
            XYZ[own] += moved
            XYZ[whites] += moved
        return with_XYZ(table, XYZ)

    return done


@dataclass(frozen=True, slots=True)
class Bench:
    """One kind of pair."""

    name: str
    kind: str
    """``unchanged``, ``100 K`` or ``worn``."""
    terms: MeterTerms
    meddle: Done | None = None
    panel: Done | None = None
    """What the panel itself does: the truth does it too."""


WANDERS = several(hues(0.002), gains(0.002))
BENCHES = (
    Bench("unchanged, filters stand still", "unchanged", TERMS),
    Bench("unchanged, filters wander by 0.2 %", "unchanged", ASSUMED, WANDERS),
    Bench("moved by 100 K, filters wander by 0.2 %", "100 K", ASSUMED, WANDERS),
    Bench("worn by up to 4400 h, filters wander by 0.2 %", "worn", ASSUMED, WANDERS),
    Bench("channels' own colours move by 0.0003", "unchanged", ASSUMED, None, own_colours(0.0003)),
)


@dataclass(frozen=True, slots=True)
class Tried:
    """What one pair gave, white alone and as it is told."""

    counts: bool
    away: tuple[float, float]
    """Distance from the truth in u', v'."""
    held: tuple[bool, bool]
    """Whether the truth is inside the 95 % region of u', v'."""
    changed: tuple[bool, bool]


def centre_plan() -> Plan:
    """Return the patches of the shipped checkpoint that white's step rests on."""
    kept = [p for p in plan_for().patches if p.purpose in {"reference", "black", "primary"}]
    return plan_of(kept, ACTIVE_AREA_MM)


def tried(bench: Bench, seed: int, plan: Plan) -> Tried | None:
    """Read and compare one pair."""
    rng = np.random.default_rng((seed, 23))
    hours = float(rng.uniform(0, 4400))
    first = SimulatedPanel(drawn_panel(seed)).at(0.0 if bench.kind == "worn" else hours)
    later: PanelState = first
    if bench.kind == "worn":
        later = SimulatedPanel(drawn_panel(seed)).at(hours)
    elif bench.kind == "100 K":
        factors = np.ones(4)
        factors[:3] = shift_by(first, 100.0 if rng.random() < 0.5 else -100.0)
        later = Altered(first, lambda x, _: np.broadcast_to(factors, (len(x), 4)))
    read = [_read(bench, plan, state, seed, number) for number, state in enumerate((first, later))]
    before, after = put_together(read)
    how = compare_circumstances(before.circumstances, after.circumstances)
    found = white_step(paired(before, after, how), how)
    return None if found is None else _held(found, _truth(bench, plan, (first, later), seed))


def _read(bench: Bench, plan: Plan, state: PanelState, seed: int, number: int) -> Evidence:
    table = read_plan(plan, state, DEFAULT_PROBE, seed=seed, checkpoint=number, name=str(number))
    # Panel and probe draw from sources of their own, so that the truth can draw the panel's alone.
    if bench.panel:
        table = bench.panel(table, np.random.default_rng((seed, 77)), number)
    if bench.meddle:
        table = bench.meddle(table, np.random.default_rng((seed, 78, number)), number)
    facts = Circumstances(name=str(number), hours=float(number), probe="P")
    return evidence_of(table, bench.terms, record=RecordFacts(circumstances=facts))


def _truth(bench: Bench, plan: Plan, states: tuple[PanelState, PanelState], seed: int) -> Real:
    """Return Δu', Δv' as a probe without any error reads the warm panel."""
    found = []
    for number, state in enumerate(states):
        table = read_plan(plan, state, PERFECT, seed=seed, checkpoint=number, warm_up_s=1e7)
        table = bench.panel(table, np.random.default_rng((seed, 77)), number) if bench.panel else table
        found.append(uv_prime_of(table.XYZ[_of(table, "grey")].mean(axis=0)))
    return np.asarray(found[1] - found[0])


def _held(found: WhiteStep, truth: Real) -> Tried:
    told = (found.direct, found.uv if found.counts else found.direct)
    away = [math.dist(step.values[:2], truth) for step in told]
    held = [p_of_vector(_off(step, truth)) > 0.05 for step in told]
    changed = [p_of_vector(step.vector()) < FIRST_OF_TEN for step in told]
    return Tried(found.counts, (away[0], away[1]), (held[0], held[1]), (changed[0], changed[1]))


def _off(step: Step, truth: Real) -> VectorChange:
    return replace(step.times(np.eye(2, len(step.values))), values=step.values[:2] - truth).vector()


def main() -> None:
    """Print a line a bench."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--pairs", type=int, default=200)
    parser.add_argument("--first", type=int, default=1, help="seed of the first pair")
    parser.add_argument("--only", default="", help="benches whose name holds this")
    asked = parser.parse_args()
    plan = centre_plan()
    print("| pair | white alone: rms of Δu'v', held, changed | as told: rms, held, changed | channels counted |")
    print("|---|---|---|---|")
    for bench in (b for b in BENCHES if asked.only in b.name):
        each = (tried(bench, seed, plan) for seed in range(asked.first, asked.first + asked.pairs))
        found = [one for one in each if one is not None]
        cells = [_cell([t.away[i] for t in found], [t.held[i] for t in found], [t.changed[i] for t in found])
                 for i in (0, 1)]  # fmt: skip
        print(
            f"| {bench.name} | {cells[0]} | {cells[1]} | {sum(t.counts for t in found)} of {len(found)} |", flush=True
        )


def _cell(away: list[float], held: list[bool], changed: list[bool]) -> str:
    low, high = binomial_interval(sum(held), len(held))
    rms = math.sqrt(float(np.mean(np.square(away))))
    return f"{rms:.6f}, {np.mean(held):.1%} ({low:.1%} to {high:.1%}), {sum(changed)}"


if __name__ == "__main__":
    main()
