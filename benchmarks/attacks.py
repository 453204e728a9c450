"""Does a comparison keep its word on a bench that is not as it should be?

Pairs of checkpoints of simulated panels, all different, read by the numeric fast path with the default simulated
probe; then something is done to the readings that a real bench does: noise that is slow, a meter that rounds, a drift,
light in the room. Unchanged panels must not be called changed, 95 % intervals must hold the truth, and what did change
must still be found.

    python -m benchmarks.attacks                       400 pairs a case, and 100 of each kind of change
    python -m benchmarks.attacks --pairs 50 --power 0 --only "slow noise"
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from benchmarks.comparison_power import Altered, binomial_interval, gain_of, meter_of, plan_for, shown_by
from benchmarks.coverage import PERFECT, QUIET, holds
from benchmarks.fast_panel.readings import Plan, read_plan
from benchmarks.support.attacks import ATTACKS, Attack
from panelwear.compare.change_table import change_table
from panelwear.compare.differences import compare_circumstances
from panelwear.compare.pairing import paired
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evidence import Evidence, evidence_of, put_together
from panelwear.figures.probe_spread import with_step
from panelwear.figures.record_facts import RecordFacts
from panelwear.simulation.model import drawn_panel
from panelwear.simulation.panel import PanelState, SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE

KINDS = ("zone 1 %", "channel 2 %", "white 100 K", "absolute 3 %")


@dataclass(slots=True)
class Tally:
    """What became of the pairs of one case."""

    pairs: int = 0
    wrong: int = 0
    """Unchanged panels with any "changed"."""
    names: Counter[str] = field(default_factory=Counter)
    asked: int = 0
    held: int = 0
    worst: dict[str, list[int]] = field(default_factory=dict)

    def add(self, other: Tally) -> None:
        """Take another tally in."""
        self.pairs += other.pairs
        self.wrong += other.wrong
        self.names.update(other.names)
        self.asked += other.asked
        self.held += other.held
        for name, (asked, held) in other.worst.items():
            mine = self.worst.setdefault(name, [0, 0])
            mine[0] += asked
            mine[1] += held


@lru_cache(maxsize=1)
def _plan() -> Plan:
    return plan_for()


def evidence(attack: Attack, state: PanelState, seed: int, number: int) -> Evidence:
    """Read one checkpoint under a fault, and make it ready as a folder would be."""
    table = read_plan(
        _plan(), state, DEFAULT_PROBE, seed=seed, checkpoint=number, name=str(number), warm_up_s=attack.warm_up_s
    )
    table = attack.do(table, np.random.default_rng((seed, number, 77)), number)
    facts = Circumstances(name=str(number), hours=float(number), probe=attack.probes[number])
    meter = replace(meter_of(DEFAULT_PROBE), session_filters=attack.session_filters)
    return evidence_of(table, with_step(meter, table), record=RecordFacts(circumstances=facts))


def verdicts(attack: Attack, kind: str, seed: int) -> tuple[set[str], str, Evidence, PanelState]:
    """Compare one pair; returns the figures called changed, the one that should be, and the first checkpoint."""
    rng = np.random.default_rng((seed, 23))
    state = SimulatedPanel(drawn_panel(seed)).at(hours=float(rng.uniform(0, 4400)))
    gain, figure = gain_of(kind, state, rng)
    later = state if kind == "unchanged" else Altered(state, gain)
    read = [evidence(attack, s, seed, i) for i, s in enumerate((state, later))]
    before, after = put_together(read)
    how = compare_circumstances(before.circumstances, after.circumstances)
    rows = change_table(paired(before, after, how), how)
    return {row.name for row in rows if row.judged.verdict == "changed"}, figure, before, state


def unchanged(attack: Attack, seed: int) -> Tally:
    """Compare one unchanged panel, and ask every figure of its first checkpoint for the truth."""
    changed, _, before, state = verdicts(attack, "unchanged", seed)
    truth = figures_of(evidence_of(read_plan(_plan(), state, PERFECT, seed=seed, warm_up_s=1e7), QUIET))
    found = Tally(1, bool(changed), Counter(changed))
    for name, estimate in figures_of(before).items():
        if name not in truth or not np.isfinite(truth[name].value) or name.startswith("stability") or estimate.limit:
            continue
        held = holds(estimate, truth[name].value)
        found.asked += 1
        found.held += held
        stem = name.split("/")[0]
        mine = found.worst.setdefault(stem if "/" in name else name, [0, 0])
        mine[0] += 1
        mine[1] += held
    return found


def _lot(name: str, kind: str, seeds: range) -> Tally:
    attack = next(a for a in ATTACKS if a.name == name)
    total = Tally()
    for seed in seeds:
        if kind == "unchanged":
            total.add(unchanged(attack, seed))
        else:
            changed, figure, _, _ = verdicts(attack, kind, seed)
            total.add(Tally(1, shown_by(kind, figure) <= changed))
    return total


def _run(pool: ProcessPoolExecutor, name: str, kind: str, first: int, pairs: int) -> Tally:
    size = max(pairs // 8, 1)
    lots = [range(s, min(s + size, first + pairs)) for s in range(first, first + pairs, size)]
    total = Tally()
    for part in pool.map(_lot, [name] * len(lots), [kind] * len(lots), lots):
        total.add(part)
    return total


def main() -> None:
    """Print a line a case."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--pairs", type=int, default=400)
    parser.add_argument("--power", type=int, default=100, help="pairs of each kind of change")
    parser.add_argument("--first", type=int, default=1, help="seed of the first panel")
    parser.add_argument("--only", default="", help="cases whose name holds this")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--names", action="store_true", help="say which figures were called changed")
    asked = parser.parse_args()
    print(f"{'case':<40}{'false changed':>16}{'95 % up to':>12}{'held':>8}" + "".join(f"{k:>14}" for k in KINDS))
    with ProcessPoolExecutor(asked.jobs) as pool:
        for attack in ATTACKS:
            if asked.only not in attack.name:
                continue
            began = time.monotonic()
            total = _run(pool, attack.name, "unchanged", asked.first, asked.pairs)
            upper = binomial_interval(total.wrong, total.pairs)[1]
            line = f"{attack.name:<40}{f'{total.wrong} of {total.pairs}':>16}{upper:>12.1%}"
            line += f"{total.held / total.asked:>8.1%}"
            for kind in KINDS if asked.power else ():
                found = _run(pool, attack.name, kind, asked.first, asked.power)
                line += f"{f'{found.wrong} of {found.pairs}':>14}"
            print(f"{line}   {time.monotonic() - began:.0f} s", flush=True)
            if asked.names:
                print("    " + ", ".join(f"{n} {c}" for n, c in total.names.most_common(8)))
                low = sorted(total.worst.items(), key=lambda item: item[1][1] / item[1][0])[:6]
                print("    least held: " + ", ".join(f"{n} {h / a:.1%}" for n, (a, h) in low))


if __name__ == "__main__":
    main()
