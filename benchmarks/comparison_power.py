"""How often does a comparison cry wolf, and what does it find?

Pairs of checkpoints of simulated panels, all different, read by the numeric fast path with the default simulated probe
(n = 5 readings a patch, two placements a zone), through the same code as a real comparison. Four kinds of pair: the
panel unchanged; one zone 1 % brighter or darker; one channel 3 % dimmer; white moved by 100 K along the locus at equal
luminance; and all channels 3 % dimmer, the loss an absolute reading has to show.

    python benchmarks/comparison_power.py                 1,000 pairs of each (about an hour on one core)
    python benchmarks/comparison_power.py --pairs 100 --kind unchanged
"""

from __future__ import annotations

import argparse
import math
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from benchmarks.fast_panel.readings import FastPatch, Plan, patches_of, plan_of, read_plan
from benchmarks.support.colour_library import uv_1960_at
from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.colorimetry.cct import cct_duv
from panelwear.compare.change_table import JudgedChange, change_table
from panelwear.compare.differences import compare_circumstances
from panelwear.compare.pairing import paired
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evidence import evidence_of, put_together
from panelwear.figures.record_facts import RecordFacts
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.simulation.emission import Spot
from panelwear.simulation.model import drawn_panel
from panelwear.simulation.panel import PanelState, SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE, ProbeModel
from panelwear.simulation.usage import ACTIVE_AREA_MM, HARBOUR_DESK, Content, harbour_desk_zones
from panelwear.uncertainty.meter import MeterTerms
from sequences.expand import expand
from sequences.model import PanelFacts, Zone
from sequences.reader import load

Real = NDArray[np.float64]
Gain = Callable[[Real, Real], Real]
"""From shares of width and height ``(n,)`` to factors on R, G, B, W ``(n, 4)``."""

WIDTH, HEIGHT = 1280, 720
KINDS = ("unchanged", "zone 1 %", "channel 3 %", "white 100 K", "absolute 3 %")
ZONES = ("vessel-list", "clock-badge", "quay-camera")
"""The three that the shipped checkpoint sequence reads on this panel."""


class Altered(PanelState):
    """A panel whose sub-pixels give more or less light by a stated factor, place by place."""

    def __init__(self, state: PanelState, gain: Gain) -> None:
        super().__init__(state.panel, state.hours, state.cycles)
        self._gain = gain

    def spot(self, x: Real, y: Real) -> Spot:
        """Give wear and broad unevenness with the factor on top."""
        found = super().spot(x, y)
        return Spot(found.gain * self._gain(x, y), found.backplane)


def patches_for(sequence: str, zones: tuple[Zone, ...]) -> tuple[FastPatch, ...]:
    """Work out the patches of a shipped sequence on the scenario's panel with some zones."""
    facts = PanelFacts(WIDTH, HEIGHT, ACTIVE_AREA_MM, zones=zones, aperture_mm=DEFAULT_PROBE.aperture_mm)
    resolver = LevelResolver(assumed_response({"kind": "power", "peak_cd_m2": 410.0, "gamma": 2.2}))
    return patches_of(expand(load(sequence), facts, seed=1), WIDTH, HEIGHT, resolver)


def plan_for() -> Plan:
    """Work out the patches of the shipped checkpoint that the change table rests on, in their order.

    Left out are patches no verdict rests on (response, wanted luminances, lower primaries, loading, checkerboard), to
    save time. Every bright patch and every dark one is read five times.
    """
    patches = patches_for("checkpoint", harbour_desk_zones(WIDTH, HEIGHT))
    kept = [p for p in patches if p.purpose in {"reference", "black", "grid", "zone"} or _full(p.key) or _ramp(p.key)]
    return plan_of([replace(p, reads=5, rule=None) for p in kept], ACTIVE_AREA_MM)


def _full(key: str) -> bool:
    return key.startswith("primary/") and "/c255/" in key


def _ramp(key: str) -> bool:
    return key.startswith("ramp/centre/grey/c")


def meter_of(probe: ProbeModel) -> MeterTerms:
    """Say of a simulated probe what a person who knows it would have written into probe.toml."""
    return MeterTerms(
        session_scale=probe.session_scale,
        session_xy=probe.session_xy,
        session_filters=0.0,  # its filters stand still against each other, as in a rehearsal's probe.toml
        placement=probe.placement,
        dark_noise_cd_m2=probe.dark_noise_cd_m2,
    )


def gain_of(kind: str, state: PanelState, rng: np.random.Generator) -> tuple[Gain, str]:
    """Return the factor one kind of change puts on the sub-pixels, and the figure that should show it."""
    if kind == "zone 1 %":
        wanted = ZONES[rng.integers(len(ZONES))]
        zone = next(c for c in HARBOUR_DESK if c.zone == wanted)
        factor = 1.01 if rng.random() < 0.5 else 1 / 1.01
        return _inside(zone, factor), f"zone/{zone.zone}"
    factors = np.ones(4)
    figure = "white.Y"
    if kind.startswith("channel "):
        i = int(rng.integers(3))
        factors[i] = 1 - float(kind.split()[1]) / 100
        figure = f"{('red', 'green', 'blue')[i]}.relative"
    elif kind == "white 100 K":
        factors[:3] = shift_by(state, 100.0 if rng.random() < 0.5 else -100.0)
        figure = "white.cct"
    elif kind == "absolute 3 %":
        factors[:] = 0.97
    return lambda x, _: np.broadcast_to(factors, (len(x), 4)), figure


def shown_by(kind: str, figure: str) -> set[str]:
    """Return the figures that must all be called changed for a change to count as found."""
    return {figure, "white.uv_prime"} if kind == "white 100 K" else {figure}


def _inside(zone: Content, factor: float) -> Gain:
    left, top, right, bottom = zone.share

    def gain(x: Real, y: Real) -> Real:
        there = (x >= left) & (x < right) & (y >= top) & (y < bottom)
        return np.where(there, factor, 1.0)[:, None] * np.ones(4)

    return gain


def shift_by(state: PanelState, step_K: float) -> Real:
    """Return what R, G and B must be multiplied by to move white by so many kelvin, Duv and luminance kept."""
    light = np.array([_window(state, channel) for channel in range(3)])
    white = light[:3].sum(axis=0)
    cct, duv = cct_duv(white)
    u, v = uv_1960_at(cct + step_K, duv)[0]
    x, y = 3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)
    return np.asarray(np.linalg.solve(light[:3].T, XYZ_of_xyY(x, y, white[1])))


def _window(state: PanelState, channel: int) -> Real:
    """Return X, Y, Z of one channel at full drive in a small window at the centre."""
    picture = np.zeros((72, 128, 3), dtype=np.uint8)
    picture[28:44, 50:78, channel] = 255
    return np.array(state.light(picture, (64.0, 36.0)))


def pair_of(
    plan: Plan, kind: str, seed: int, probe: ProbeModel = DEFAULT_PROBE
) -> tuple[tuple[JudgedChange, ...], str]:
    """Simulate one pair of checkpoints and compare it; returns the change table and the figure that should show it."""
    rng = np.random.default_rng((seed, 23))
    state = SimulatedPanel(drawn_panel(seed)).at(hours=float(rng.uniform(0, 4400)))
    gain, figure = gain_of(kind, state, rng)
    later = state if kind == "unchanged" else Altered(state, gain)
    meter = meter_of(probe)
    read = [
        evidence_of(
            read_plan(plan, s, probe, seed=seed, checkpoint=i, name=str(i)),
            meter,
            record=RecordFacts(circumstances=Circumstances(name=str(i), hours=float(i), probe="P")),
        )
        for i, s in enumerate((state, later))
    ]
    before, after = put_together(read)
    how = compare_circumstances(before.circumstances, after.circumstances)
    return change_table(paired(before, after, how), how), figure


def run(kind: str, pairs: int, first: int, plan: Plan, probe: ProbeModel = DEFAULT_PROBE) -> tuple[int, Counter[str]]:
    """Return how many pairs had the figure found (unchanged: any false "changed"), and what was called changed."""
    found, names = 0, Counter[str]()
    for seed in range(first, first + pairs):
        rows, figure = pair_of(plan, kind, seed, probe)
        changed = {row.name for row in rows if row.judged.verdict == "changed"}
        names.update(changed)
        names.update({f"no larger: {r.name}" for r in rows if r.judged.verdict == "no change larger than"})
        if kind == "unchanged":
            found += bool(changed)
        else:
            found += shown_by(kind, figure) <= changed
    return found, names


def binomial_interval(held: int, asked: int) -> tuple[float, float]:
    """Return the 95 % interval of a share (Wilson 1927)."""
    z = 1.959964
    p, n = held / asked, asked
    middle = (p + z**2 / (2 * n)) / (1 + z**2 / n)
    half = z / (1 + z**2 / n) * math.sqrt(p * (1 - p) / n + z**2 / (4 * n**2))
    return middle - half, middle + half


def needed(loss: float, tests: int = 10, power: float = 0.9) -> list[str]:
    """Say what an absolute loss needs to be found, from the normal law: |d| >= (k + z) u."""
    from scipy.special import ndtr, ndtri

    k, z = float(ndtri(1 - 0.05 / (2 * tests))), float(ndtri(power))
    u = 100 * loss / (k + z)
    lines = [
        f"an absolute loss of {100 * loss:g} % is found in {power:.0%} when u(change) <= {u:.2f} % (k = {k:.2f} for "
        f"the first of {tests} figures): {u / math.sqrt(2):.2f} % a checkpoint",
        f"{'session scale':>16} {'evenings':>9} {'placements':>11} {'n':>4} {'u(change)':>10} {'power':>7}",
    ]
    for scale, evenings, places, n in (
        (0.5, 1, 1, 5), (0.5, 1, 1, 100), (0.5, 1, 2, 5), (0.5, 2, 1, 5), (0.5, 3, 1, 5), (0.3, 1, 1, 5),
        (0.2, 1, 1, 5), (1.0, 1, 1, 5), (1.0, 4, 1, 5),
    ):  # fmt: skip
        one = math.sqrt(scale**2 / evenings + 0.1**2 / (evenings * places) + 0.15**2 / (evenings * places * n))
        both = one * math.sqrt(2)
        found = float(ndtr(100 * loss / both - k))
        lines.append(f"{scale:>14.1f} % {evenings:>9} {places:>11} {n:>4} {both:>8.2f} % {found:>7.1%}")
    return lines


def main() -> None:
    """Run."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--pairs", type=int, default=1000)
    parser.add_argument("--first", type=int, default=1, help="seed of the first panel")
    parser.add_argument("--kind", choices=KINDS, action="append")
    arguments = parser.parse_args()
    plan = plan_for()
    print(f"{len(plan.patches)} patches, {sum(p.reads for p in plan.patches)} readings a checkpoint")
    for kind in arguments.kind or KINDS:
        began = time.monotonic()
        found, names = run(kind, arguments.pairs, arguments.first, plan)
        low, high = binomial_interval(found, arguments.pairs)
        what = 'any false "changed"' if kind == "unchanged" else "found"
        print(
            f"{kind:<14} {what}: {found} of {arguments.pairs} ({low:.3f} .. {high:.3f}), "
            f"{time.monotonic() - began:.0f} s",
            flush=True,
        )
        for name, count in sorted(names.items()):
            print(f"    {name:<44} {count}")
    print("\n".join(needed(0.03)))


if __name__ == "__main__":
    main()
