"""Warm the panel on a moving mid-grey at the sequence's mean light, and see by readings when it is steady."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from panelwear.run.messages import Keep, Message, Show, Tell, Wait
from panelwear.run.pause import WATCHED_S
from panelwear.run.state import RunState
from panelwear.run.steps.after_outage import steady_again
from panelwear.run.steps.settling import measure_settling
from panelwear.run.steps.target import Target, TooBrightError, one_reading, show_settled
from panelwear.run.steps.warm_up_card import corner_at, warm_up_card
from panelwear.screen.contract import Shown
from patterns import build
from sequences.model import Patch, WarmUp

if TYPE_CHECKING:
    from panelwear.panel.steady import Sample, SteadyVerdict

_STEP_S = 0.5
"""The grey moves on this often."""
_UNSEEN_STEP_S = 10.0
"""The same where nobody looks: off screen, on a virtual clock."""
LOOK_SHARE = 0.4
"""Largest share of the time a patch is read for: it stands still meanwhile, and the grey moves."""
WARM_UP = "warm-up"
"""Group and purpose of the rows read meanwhile: no figure takes them for the reference."""


@dataclass(slots=True)
class _Watch:
    """What is known of a warm-up in progress."""

    step: WarmUp
    passed_s: float = 0.0
    began_at_s: float = math.nan
    """Monotonic clock when the grey came on."""
    samples: list[Sample] = field(default_factory=list)
    minutes: tuple[float, float] = (0.0, 0.0)
    """At least and at most."""
    paused_s: float = 0.0
    """How long the run had been paused in all when it was last asked: a pause warms nothing up."""
    reading_s: float = 1.0
    """What a reading takes."""

    def leave_pauses_out(self, state: RunState) -> None:
        """Move the beginning on by what was paused; after a long pause the slope begins anew."""
        passed_s, self.paused_s = state.paused_s - self.paused_s, state.paused_s
        self.began_at_s += passed_s
        if passed_s > WATCHED_S:
            self.samples.clear()


def warm_up(step: WarmUp, state: RunState) -> Generator[Message, Any, None]:
    """Show the moving grey: with a probe until the panel is steady, else for the stated minutes."""
    if state.short_warm_up and step.patch is not None:
        yield from _short(step.patch, state)
        return
    minutes = step.minutes if state.warm_up_minutes is None else state.warm_up_minutes
    watch = _Watch(step, paused_s=state.paused_s, minutes=(minutes, minutes))
    if minutes < step.minutes:
        state.not_settled = True
        yield Tell(f"warm-up cut to {minutes:g} min of {step.minutes:g}: every reading is flagged not-settled")
    yield Tell(f"warm-up: {minutes:g} min on a moving grey; leave the panel alone, keep the room dark")
    patch = step.patch if state.has_probe and minutes >= step.minutes and minutes > 0 else None
    if patch is None:
        yield from _grey_until(watch, state, minutes * 60, "left")
        yield Keep("warm_up", {"minutes": minutes, "verdict": "by time"})
        return
    found = yield from _until_steady(watch, state, patch, minutes)
    state.not_settled = not found.settled
    yield Keep("warm_up", _kept(watch, found))
    yield from _say_trace(watch)
    yield Tell(found.sentence)
    yield from measure_settling(state, patch)


def _short(patch: Patch, state: RunState) -> Generator[Message, Any, None]:
    """Watch a panel that stayed lit until it is steady, in the place of a warm-up."""
    state.short_warm_up = False
    target = Target(patch, state.resolve(patch))
    shown = yield from show_settled(state, target)
    yield from steady_again(state, patch, lambda own, n: one_reading(state, replace(target, patch=own), shown, n))
    yield from measure_settling(state, patch)


def _grey_until(watch: _Watch, state: RunState, seconds: float, word: str) -> Generator[Message, Any, None]:
    """Move the grey on until so many seconds of warm-up have passed."""
    first = True
    longest_s = _UNSEEN_STEP_S if state.off_screen else _STEP_S
    while watch.passed_s < seconds:
        frame = build(
            "warm-up",
            state.width_px,
            state.height_px,
            codes=(watch.step.mean_code,) * 3,
            t_s=watch.passed_s,
        )
        left_s = seconds - watch.passed_s
        corner = corner_at(watch.passed_s, state.place, (state.width_px, state.height_px))
        card = warm_up_card(left_s, word, (watch.passed_s / 60, *watch.minutes), watch.samples, corner)
        shown: Shown = yield Show(frame, None if first else 0.0, card)
        if math.isnan(watch.began_at_s):
            watch.began_at_s = shown.at_s
        first = False
        yield Wait(min(longest_s, left_s))
        watch.passed_s += min(longest_s, left_s)
        watch.leave_pauses_out(state)


def _until_steady(
    watch: _Watch, state: RunState, patch: Patch, minutes: float
) -> Generator[Message, Any, SteadyVerdict]:
    from panelwear.panel.steady import WarmUpRule, readings_wanted, verdict

    rule = WarmUpRule(least_s=minutes * 60, most_s=max(watch.step.max_minutes, minutes) * 60)
    watch.minutes = (minutes, rule.most_s / 60)
    while True:
        room = max(rule.readings, math.floor(LOOK_SHARE * rule.every_s / watch.reading_s))
        yield from _look(watch, state, patch, min(room, readings_wanted(watch.samples, rule)))
        found = verdict(watch.samples, rule)
        if found.over or watch.passed_s >= rule.most_s:
            return found
        yield Tell(found.sentence)
        until = min(rule.every_s * (math.floor(watch.passed_s / rule.every_s) + 1), rule.most_s)
        yield from _grey_until(watch, state, until, "to the next look")


def _look(watch: _Watch, state: RunState, patch: Patch, readings: int) -> Generator[Message, Any, None]:
    """Read the panel a few times, in rows of their own."""
    from panelwear.panel.steady import sample_of

    own = replace(patch, group=WARM_UP, purpose=WARM_UP)
    target = Target(own, state.resolve(own))
    shown = yield from show_settled(state, target)
    if math.isnan(watch.began_at_s):
        watch.began_at_s = shown.at_s
    rows = []
    try:
        for repeat in range(1, readings + 1):
            row = yield from one_reading(state, target, shown, repeat)
            if row is not None:
                rows.append(row)
    except TooBrightError as error:
        yield Tell(f"{error}; whether the panel is steady cannot be told from it")
    if not rows:
        return
    watch.leave_pauses_out(state)
    if len(rows) > 1:
        watch.reading_s = max(0.1, (rows[-1].monotonic_s - rows[0].monotonic_s) / (len(rows) - 1))
    watch.passed_s = max(watch.passed_s, rows[-1].monotonic_s + rows[-1].integration_s - watch.began_at_s)
    at_s = sum(row.monotonic_s for row in rows) / len(rows) - watch.began_at_s
    numbers = [[_number(row.X_cd_m2), _number(row.Y_cd_m2), _number(row.Z_cd_m2)] for row in rows]
    sample = sample_of(at_s, numbers)
    if sample is not None:
        watch.samples.append(sample)


def _number(value: float | None) -> float:
    return math.nan if value is None else value


def _kept(watch: _Watch, found: SteadyVerdict) -> dict[str, Any]:
    def finite(value: float) -> float | None:
        return value if math.isfinite(value) else None

    return {
        "minutes": round(watch.passed_s / 60, 2),
        "verdict": "settled" if found.settled else "not-settled",
        "sentence": found.sentence,
        "slope_percent_per_10_min": finite(found.slope_percent),
        "half_width_percent_per_10_min": finite(found.half_width_percent),
        "slope_x_per_10_min": finite(found.slope_x),
        "slope_y_per_10_min": finite(found.slope_y),
        "window_s": found.window_s,
        "trace": [[round(s.at_s, 1), s.Y_cd_m2, finite(s.x), finite(s.y)] for s in watch.samples],
    }


def _say_trace(watch: _Watch) -> Generator[Message, Any, None]:
    from panelwear.panel.steady import trace

    for line in trace(watch.samples):
        yield Tell(line)
