"""Do 95 % intervals hold the truth in 95 of 100 cases?

Simulated panels and probes, all different, read by the numeric fast path; every figure is worked out by the same code
as for a real checkpoint, and its interval is asked whether it holds the true value. The truth of a figure is what the
same code finds when the same warm panel is read by a probe without any fault. Bounds ("< limit") count as holding the
truth when it lies on the stated side.

    python benchmarks/coverage.py                    2,000 panels of spot and of checkpoint
    python benchmarks/coverage.py --panels 200 --sequence spot
    python benchmarks/coverage.py --whole-path 20    20 runs of spot through engine, link and files as well
"""

from __future__ import annotations

import argparse
import fnmatch
import math
import tempfile
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from benchmarks.comparison_power import HEIGHT, WIDTH, meter_of, patches_for
from benchmarks.fast_panel.readings import Plan, plan_of, read_plan
from panelwear.figures import of_checkpoint
from panelwear.simulation import rehearsal
from panelwear.simulation.model import HARBOUR_DESK_PANEL, drawn_panel
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE, ProbeModel
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from panelwear.uncertainty.coverage import interval
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.meter import MeterTerms

WANTED = (0.93, 0.97)
PERFECT = ProbeModel(0.0, 0.0, 0.0, 0.0, 0.0, DEFAULT_PROBE.aperture_mm, placement_mm=0.0)
QUIET = MeterTerms(session_scale=0.0, session_xy=0.0, session_filters=0.0, placement=0.0, dark_noise_cd_m2=0.0)
"""No uncertainty at all: nothing is dark then and nothing becomes a bound, so the truth of every figure comes out."""

GROUPS = (
    "peak", "peak/*", "black", "contrast/sequential", "contrast/checkerboard", "gamma", "gamma/local/*",
    "white.Y", "white.x", "white.y", "white.u_prime", "white.v_prime", "white.cct", "white.duv", "white.d65",
    "white/*.Y", "white/*.[xyuv]*", "white/*.cct", "white/*.duv", "white/*.d65",
    "grey.duv_prime_max", "grey/*.d[uv]_prime", "grey/*.duv_prime", "grey/*.de*",
    "red.Y", "green.Y", "blue.Y", "*.[xyuv]*", "additivity",
    "uniformity/*.min_over_max", "uniformity/*.from_*", "uniformity/*.spread", "uniformity/*.duv_prime",
    "uniformity/*.left_right", "zone/*.contrast", "zone/*.d[uv]_prime", "loading/*",
)  # fmt: skip


@dataclass(slots=True)
class Count:
    """How often a group of figures was asked, and how often it held the truth."""

    asked: int = 0
    held: int = 0
    bounds: int = 0
    pulls: list[float] = field(default_factory=list)
    """(value - truth) / u of the figures that are no bounds."""


def plan_for(sequence: str) -> Plan:
    """Work out a shipped sequence once for all panels."""
    return plan_of(patches_for(sequence, harbour_desk_zones(WIDTH, HEIGHT)), ACTIVE_AREA_MM)


def one_panel(plan: Plan, seed: int) -> Iterator[tuple[Estimate, float]]:
    """Yield every figure of one panel with its true value."""
    state = SimulatedPanel(drawn_panel(seed)).at(hours=float(np.random.default_rng((seed, 7)).uniform(0, 4400)))
    truth = of_checkpoint(read_plan(plan, state, PERFECT, seed=seed, warm_up_s=1e7), QUIET)
    found = of_checkpoint(read_plan(plan, state, DEFAULT_PROBE, seed=seed), meter_of(DEFAULT_PROBE))
    for name, estimate in found.items():
        if name in truth and math.isfinite(truth[name].value) and not name.startswith("stability"):
            yield estimate, truth[name].value


def holds(estimate: Estimate, truth: float) -> bool:
    """Ask whether the 95 % interval holds the truth, crumbs of rounding allowed."""
    low, high = interval(estimate)
    crumb = 1e-9 * max(abs(truth), 1.0)
    return low - crumb <= truth <= high + crumb


def binomial_interval(p: float, n: int) -> tuple[float, float]:
    """Return the 95 % interval of a share p of n (Wilson 1927)."""
    z = 1.959964
    middle = (p + z**2 / (2 * n)) / (1 + z**2 / n)
    half = z / (1 + z**2 / n) * math.sqrt(p * (1 - p) / n + z**2 / (4 * n**2))
    return middle - half, middle + half


def group_of(name: str) -> str:
    """Return the line of the table a figure belongs to."""
    return next((g for g in GROUPS if fnmatch.fnmatchcase(name, g)), name)


def one_whole_run(plan: Plan, seed: int) -> Iterator[tuple[Estimate, float]]:
    """Yield every figure of ``spot`` run by the real engine over a socket into real files, with its true value."""
    hours = float(np.random.default_rng((seed, 7)).uniform(0, 4400))
    with tempfile.TemporaryDirectory() as directory:
        folder = rehearsal.make_panel_folder(Path(directory) / "panel")
        wish = rehearsal.Wish(seed=seed, sequence="spot", hours=(hours,))
        [done] = rehearsal.rehearse(folder, wish, say=lambda _: None)
        found = of_checkpoint(done.checkpoint.table(), meter_of(DEFAULT_PROBE))
    state = SimulatedPanel(HARBOUR_DESK_PANEL).at(hours, rehearsal.CYCLES)
    truth = of_checkpoint(read_plan(plan, state, PERFECT, seed=seed, warm_up_s=1e7), QUIET)
    for name, estimate in found.items():
        # A level closed in on has its own drive level in each run: its luminance has no common truth.
        asked = name in truth and not name.startswith("stability") and not fnmatch.fnmatchcase(name, "white/Y*.Y")
        if asked and math.isfinite(truth[name].value):
            yield estimate, truth[name].value


def run(title: str, panels: Iterable[Iterable[tuple[Estimate, float]]]) -> None:
    """Ask all figures of all panels, and print the table."""
    counts: dict[str, Count] = {}
    began, number = time.monotonic(), 0
    for panel in panels:
        number += 1
        for estimate, truth in panel:
            count = counts.setdefault(group_of(estimate.name), Count())
            count.asked += 1
            count.held += holds(estimate, truth)
            if estimate.limit:
                count.bounds += 1
            elif estimate.u > 0:
                count.pulls.append((estimate.value - truth) / estimate.u)
    print(f"\n{title}: {number} panels, {time.monotonic() - began:.0f} s")
    print(f"{'figure':<28}{'asked':>8}{'held':>8}{'95 % interval':>18}{'bounds':>8}{'mean pull':>11}{'rms pull':>10}")
    for group in [g for g in GROUPS if g in counts] + [g for g in counts if g not in GROUPS]:
        print_row(group, counts[group], number)


def print_row(group: str, count: Count, panels: int) -> None:
    """Print one line; a star where the share is surely outside of what is wanted.

    Figures of one panel share its probe's errors, so a line is worth as many independent cases as there are panels.
    """
    low, high = binomial_interval(count.held / count.asked, min(count.asked, panels))
    star = "" if high >= WANTED[0] and low <= WANTED[1] else "  *"
    if star and count.bounds > count.asked / 2 and low > WANTED[1]:
        star = "  (bounds)"
    pulls = np.array(count.pulls) if count.pulls else np.array([math.nan])
    share, bounds = count.held / count.asked, count.bounds / count.asked
    print(
        f"{group:<28}{count.asked:>8}{share:>8.4f}{f'{low:.4f} .. {high:.4f}':>18}{bounds:>8.2f}"
        f"{pulls.mean():>11.2f}{np.sqrt((pulls**2).mean()):>10.2f}{star}"
    )


def main() -> None:
    """Run."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--panels", type=int, default=2000)
    parser.add_argument("--first", type=int, default=1, help="seed of the first panel")
    parser.add_argument("--sequence", choices=("spot", "checkpoint"), action="append")
    parser.add_argument("--whole-path", type=int, default=0, metavar="N", help="runs through engine, link and files")
    arguments = parser.parse_args()
    seeds = range(arguments.first, arguments.first + arguments.panels)
    for sequence in arguments.sequence or ("spot", "checkpoint"):
        plan = plan_for(sequence)
        run(sequence, (one_panel(plan, seed) for seed in seeds))
    if arguments.whole_path:
        plan = plan_for("spot")
        run("spot, whole path", (one_whole_run(plan, seed) for seed in range(1, arguments.whole_path + 1)))


if __name__ == "__main__":
    main()
