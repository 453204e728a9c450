"""How well the by-eye methods find a contrast that is known: a simulated observer, 1,000 runs a line.

python benchmarks/by_eye.py [RUNS]
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from random import Random

import numpy as np

from benchmarks.support.observer import Observer, least_standard_error, normal_cdf
from benchmarks.support.up_down_rules import (
    GARCIA_PEREZ,
    kaernbach_ratio,
    levitt_target,
    mean_of_reversals,
    unequal,
    weighted,
)
from panelwear.byeye.forced_choice import ChoicePlan, PairChoice, Track, UpDownRule
from panelwear.byeye.matching import Matching, MatchPlan
from panelwear.byeye.quest import Quest, QuestPlan
from panelwear.errors import UsageError


def matching(runs: int) -> None:
    print(f"Matching by adjustment, 8 settings, setting spread 0.5 %, {runs} runs a line")
    heads = ("planted %", "95 % t holds", "mean error %", "scatter %", "stated u %", "sham found")
    print(" ".join(f"{head:>{width}}" for head, width in zip(heads, (10, 13, 13, 10, 11, 11), strict=True)))
    for contrast in (-0.03, -0.02, -0.01, -0.005, 0.0, 0.005, 0.01, 0.02, 0.03):
        held, errors, stated, sham, shams = 0, [], [], 0, 0
        for seed in range(runs):
            run = Matching(MatchPlan(), seed)
            Observer(seed + 100_000).run_matching(run, contrast)
            found = run.result()
            held += found.low <= contrast <= found.high
            errors.append(100 * (found.contrast - contrast))
            stated.append(100 * found.u)
            sham += found.sham_found
            shams += len(found.sham_settings)
        print(
            f"{contrast * 100:>+10.1f} {held / runs:>13.3f} {np.mean(errors):>+13.4f} {np.std(errors):>10.3f}"
            f" {np.mean(stated):>11.3f} {sham / shams:>11.3f}"
        )


def choice(runs: int) -> None:
    print(f"\nForced choice, 2 % lapses, planted +1 %, {runs} runs a line")
    print(
        f"{'spread %':>9} {'answers':>8} {'given':>6} {'holds':>6}"
        f" {'rms error %':>12} {'stated u %':>11} {'bound %':>8}"
    )
    for spread, trials in ((0.005, 20), (0.005, 40), (0.005, 60), (0.01, 60), (0.005, 0)):
        held, errors, stated, used = 0, [], [], []
        for seed in range(runs):
            plan = ChoicePlan(stop_u=0.0, least_trials=trials, most_trials=trials) if trials else ChoicePlan()
            run = PairChoice(plan, seed)
            Observer(seed + 100_000, spread=spread).run_choice(run, 0.01)
            try:
                found = run.result()
            except UsageError:
                continue  # as good as chance, which an observer's few answers may be too
            held += found.low <= 0.01 <= found.high
            errors.append(100 * (found.contrast - 0.01))
            stated.append(100 * found.u)
            used.append(found.trials)
        mean = float(np.mean(used))
        name = f"{trials}" if trials else f"~{mean:.0f}"
        rms = math.sqrt(float(np.mean(np.square(errors))))
        bound = 100 * least_standard_error(spread, round(mean))
        print(
            f"{spread * 100:>9.1f} {name:>8} {len(errors) / runs:>6.3f} {held / len(errors):>6.3f}"
            f" {rms:>12.3f} {np.mean(stated):>11.3f} {bound:>8.3f}"
        )


def detection(runs: int) -> None:
    print(f"\nDetection threshold, two alternatives, Weibull slope 3.5, {runs} runs a line (log10 units)")
    print(f"{'trials':>7} {'scatter':>8} {'mean error':>11} {'stated sd':>10}")
    for trials in (20, 40, 60):
        errors, stated = [], []
        for seed in range(runs):
            run = Quest(QuestPlan(least_trials=trials, most_trials=trials, stop_sd=0), seed)
            Observer(seed + 100_000).run_quest(run)
            errors.append(math.log10(run.result().threshold / 0.006))
            stated.append(run.result().sd_log10)
        print(f"{trials:>7} {np.std(errors):>8.3f} {np.mean(errors):>+11.4f} {np.mean(stated):>10.3f}")


def staircases(runs: int) -> None:
    print("\nUp-down rules, cumulative normal of spread 1; where long tracks settle, and the published point")
    print(f"{'rule':<34} {'settles at':>10} {'published':>10}")
    steps = max(2000, 20 * runs)

    def yes_no(level: float, random: Random) -> bool:
        return random.random() < normal_cdf(level)

    for n in (1, 2, 3, 4):
        print(
            f"{f'{n}-down-1-up, equal small steps':<34} {settled(UpDownRule(0.05, 0.05, n), yes_no, steps):>10.4f}",
            end="",
        )
        print(f" {levitt_target(n):>10.4f}")
    for p in (0.6, 0.75, 0.85):
        rule = weighted(p, 0.02)
        print(f"{f'weighted, up/down {kaernbach_ratio(p):.3g}':<34} {settled(rule, yes_no, steps):>10.4f} {p:>10.4f}")
    for n, (ratio, published) in GARCIA_PEREZ.items():
        rights = []
        for seed in range(max(20, runs // 5)):
            random = Random(10_000 * n + seed)
            track = Track(unequal(n, 0.6), 1.5)
            while len(track.reversals) < 80:
                track.answer(random.random() < 0.5 + 0.5 * normal_cdf(track.level))
            rights.append(0.5 + 0.5 * normal_cdf(mean_of_reversals(track, skip=10)))
        print(f"{f'{n}-down-1-up, down/up {ratio}':<34} {np.mean(rights):>10.4f} {published:>10.4f}")


def settled(rule: UpDownRule, answer: Callable[[float, Random], bool], steps: int) -> float:
    random, track = Random(7), Track(rule, 1.0)
    for _ in range(steps):
        track.answer(answer(track.level, random))
    return normal_cdf(float(np.mean(track.levels[500:])))


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    began = time.perf_counter()
    matching(count)
    choice(max(20, count // 5))
    detection(max(20, count // 2))
    staircases(count)
    print(f"\n{time.perf_counter() - began:.0f} s")
