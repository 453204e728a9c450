"""Does a comparison keep its word on a bench that is not as it should be?

Pairs of checkpoints of simulated panels, all different, read by the numeric fast path with the default simulated
probe; then something is done to the readings that a real bench does: noise that is slow, a meter that rounds, a drift,
light in the room. Unchanged panels must not be called changed, 95 % intervals must hold the truth, and what did change
must still be found. "warned": so many of the pairs called changed carry a sentence that says what else may explain it.

    python -m benchmarks.attacks                       400 pairs a case, and 100 of each kind of change
    python -m benchmarks.attacks --pairs 50 --power 0 --only "slow noise"
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cache, partial

import numpy as np

from benchmarks.comparison_power import Altered, binomial_interval, gain_of, meter_of, shown_by
from benchmarks.coverage import PERFECT, QUIET, holds
from benchmarks.fast_panel.readings import read_plan
from benchmarks.support.attacked_plans import CHECKPOINT, SHORT, TEN_ZONES, plan_named
from benchmarks.support.attacks import ATTACKS, Attack
from panelwear.compare.change_table import change_table
from panelwear.compare.differences import compare_circumstances
from panelwear.compare.pairing import paired
from panelwear.compare.subpixels import sub_pixels
from panelwear.compare.suspicion import suspicions
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evidence import Evidence, evidence_of, put_together
from panelwear.figures.probe_spread import with_step
from panelwear.figures.record_facts import RecordFacts
from panelwear.simulation.model import drawn_panel
from panelwear.simulation.panel import PanelState, SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE

UNCHANGED = "unchanged"
LOT = 25
"""Panels a process takes at a time."""
KINDS = ("zone 1 %", "channel 2 %", "white 100 K", "absolute 3 %")


@dataclass(slots=True)
class Tally:
    """What became of the pairs of one case."""

    pairs: int = 0
    wrong: int = 0
    """Unchanged panels with any "changed"; of a kind of change, pairs in which it was found."""
    warned: int = 0
    """Of those, pairs with a sentence that says what else may explain it."""
    names: Counter[str] = field(default_factory=Counter)
    asked: int = 0
    held: int = 0
    worst: dict[str, list[int]] = field(default_factory=dict)

    def add(self, other: Tally) -> None:
        """Take another tally in."""
        self.pairs += other.pairs
        self.wrong += other.wrong
        self.warned += other.warned
        self.names.update(other.names)
        self.asked += other.asked
        self.held += other.held
        for name, (asked, held) in other.worst.items():
            mine = self.worst.setdefault(name, [0, 0])
            mine[0] += asked
            mine[1] += held


def evidence(attack: Attack, state: PanelState, seed: int, number: int) -> Evidence:
    """Read one checkpoint under a fault, and make it ready as a folder would be."""
    plan = plan_named(attack.plan)
    table = read_plan(
        plan, state, DEFAULT_PROBE, seed=seed, checkpoint=number, name=str(number), warm_up_s=attack.warm_up_s
    )
    table = attack.do(table, np.random.default_rng((seed, number, 77)), number)
    facts = Circumstances(name=str(number), hours=float(number), probe=attack.probes[number])
    meter = replace(meter_of(DEFAULT_PROBE), session_filters=attack.session_filters)
    return evidence_of(table, with_step(meter, table), record=RecordFacts(circumstances=facts))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was said of one pair."""

    asked: frozenset[str]
    """Figures of the change table."""
    changed: frozenset[str]
    is_warned: bool
    """Whether something else was suspected, or a difference said that bars the verdict."""


def outcome(before: Evidence, after: Evidence) -> Outcome:
    """Compare two checkpoints."""
    before, after = put_together([before, after])
    how = compare_circumstances(before.circumstances, after.circumstances)
    pairing = paired(before, after, how)
    rows = change_table(pairing, how)
    channels = sub_pixels(pairing, how, after.hours - before.hours)
    warned = suspicions(rows, channels, before, after, same_probe=how.same_probe)
    changed = frozenset(row.name for row in rows if row.judged.verdict == "changed")
    return Outcome(frozenset(row.name for row in rows), changed, bool(warned))


def drawn_state(seed: int) -> PanelState:
    """Return a panel of its own at an age of its own."""
    rng = np.random.default_rng((seed, 23))
    return SimulatedPanel(drawn_panel(seed)).at(hours=float(rng.uniform(0, 4400)))


@cache
def truth(plan: str, seed: int) -> dict[str, float]:
    """Return what a probe without any fault reads of the warm panel, by figure."""
    read = read_plan(plan_named(plan), drawn_state(seed), PERFECT, seed=seed, warm_up_s=1e7)
    found = {name: e.value for name, e in figures_of(evidence_of(read, QUIET)).items()}
    return {name: value for name, value in found.items() if np.isfinite(value) and not name.startswith("stability")}


def add_coverage(found: Tally, read: Evidence, true: dict[str, float]) -> None:
    """Ask every figure of a checkpoint that is a value whether its interval holds the truth."""
    for name, estimate in figures_of(read).items():
        if name not in true or estimate.limit:
            continue
        held = holds(estimate, true[name])
        found.asked += 1
        found.held += held
        stem = name.split("/")[0] if "/" in name else name
        mine = found.worst.setdefault(stem, [0, 0])
        mine[0] += 1
        mine[1] += held


def one_panel(attack: Attack, seed: int, kinds: Sequence[str], *, covered: bool = True) -> dict[str, Tally]:
    """Compare one panel with itself unchanged, and with itself changed in each way; a tally a kind.

    ``covered``: ask every figure of the first checkpoint for the truth too.
    """
    state = drawn_state(seed)
    before = evidence(attack, state, seed, 0)
    said = outcome(before, evidence(attack, state, seed, 1))
    still = Tally(1, bool(said.changed), bool(said.changed and said.is_warned), Counter(said.changed))
    if covered:
        add_coverage(still, before, truth(attack.plan, seed))
    found = {UNCHANGED: still}
    for kind in kinds:
        gain, figure = gain_of(kind, state, np.random.default_rng((seed, 24)))
        said = outcome(before, evidence(attack, Altered(state, gain), seed, 1))
        if figure in said.asked:
            found[kind] = Tally(1, shown_by(kind, figure) <= said.changed)
    return found


def _lot(name: str, seeds: range, powered: range, covered: range, plan: str) -> dict[str, Tally]:
    attack = next(a for a in ATTACKS if a.name == name)  # what it does cannot be sent to another process
    attack = replace(attack, plan=plan or attack.plan)
    total: dict[str, Tally] = {}
    for seed in seeds:
        kinds = KINDS if seed in powered else ()
        for kind, found in one_panel(attack, seed, kinds, covered=seed in covered).items():
            total.setdefault(kind, Tally()).add(found)
    return total


def _run(pool: ProcessPoolExecutor, name: str, asked: argparse.Namespace) -> dict[str, Tally]:
    seeds = range(asked.first, asked.first + asked.pairs)
    lot = partial(_lot, name, powered=seeds[: asked.power], covered=seeds[: asked.coverage], plan=asked.plan)
    lots = [seeds[i : i + LOT] for i in range(0, len(seeds), LOT)]
    total: dict[str, Tally] = {kind: Tally() for kind in (UNCHANGED, *KINDS)}
    for part in pool.map(lot, lots):
        for kind, found in part.items():
            total[kind].add(found)
    return total


def names_of(still: Tally) -> list[str]:
    """Say which figures were called changed, and whose intervals held least."""
    low = sorted(still.worst.items(), key=lambda item: item[1][1] / item[1][0])[:6]
    return [
        "    " + ", ".join(f"{n} {c}" for n, c in still.names.most_common(8)),
        "    least held: " + ", ".join(f"{n} {h / a:.1%} of {a}" for n, (a, h) in low),
    ]


def line_of(name: str, total: dict[str, Tally]) -> str:
    """Return the line of one case."""
    still = total[UNCHANGED]
    upper = binomial_interval(still.wrong, still.pairs)[1]
    wrong = f"{still.wrong} of {still.pairs}"
    line = f"{name:<40}{wrong:>16}{still.warned:>8}{upper:>12.1%}{still.held / max(still.asked, 1):>8.1%}"
    return line + "".join(f"{f'{total[k].wrong} of {total[k].pairs}' if total[k].pairs else '-':>14}" for k in KINDS)


def main() -> None:
    """Print a line a case."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--pairs", type=int, default=400)
    parser.add_argument("--power", type=int, default=100, help="pairs of each kind of change")
    parser.add_argument("--coverage", type=int, default=100, help="panels whose every figure is asked for the truth")
    parser.add_argument("--plan", choices=(CHECKPOINT, SHORT, TEN_ZONES), default="", help="read this in every case")
    parser.add_argument("--first", type=int, default=1, help="seed of the first panel")
    parser.add_argument("--only", default="", help="cases whose name holds this")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--names", action="store_true", help="say which figures were called changed")
    asked = parser.parse_args()
    print(
        f"{'case':<40}{'false changed':>16}{'warned':>8}{'95 % up to':>12}{'held':>8}"
        + "".join(f"{k:>14}" for k in KINDS)
    )
    with ProcessPoolExecutor(asked.jobs) as pool:
        for attack in ATTACKS:
            if asked.only not in attack.name:
                continue
            began = time.monotonic()
            total = _run(pool, attack.name, asked)
            print(f"{line_of(attack.name, total)}   {time.monotonic() - began:.0f} s", flush=True)
            if asked.names:
                print("\n".join(names_of(total[UNCHANGED])), flush=True)


if __name__ == "__main__":
    main()
