"""Show a patch and read it as often as its scatter calls for."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.readings.row import Row
from panelwear.run.learned import learn
from panelwear.run.messages import Message, Tell
from panelwear.run.state import RunState
from panelwear.run.steps.close_in import close_in
from panelwear.run.steps.target import Target, TooBrightError, frame_settled, one_reading, show_settled
from sequences.model import Read


def read(step: Read, state: RunState) -> Generator[Message, Any, None]:
    """Find the patch's codes, show it, let it settle, take its readings; without a probe the step is passed over."""
    if not state.has_probe:
        return
    refused = _refused(state, step)
    if refused:
        yield Tell(f"{step.patch.key} is left out: {refused}")
        return
    if step.patch.level.basis != "code":
        yield from learn(state)
    target = Target(step.patch, state.resolve(step.patch), step.pair)
    try:
        target = yield from close_in(state, target)
        rows = yield from read_target(state, target)
    except TooBrightError as error:
        yield Tell(f"{error}: it is left out, the run goes on")
        return
    if any("limiter" in row.flags.split() for row in rows):
        yield Tell(
            f"{step.patch.key}: dimmed while it stood; a limiter or dimming of static content, flagged 'limiter'"
        )


def _refused(state: RunState, step: Read) -> str:
    """Say why a window cannot be read with this aperture; empty when it can."""
    if step.patch.pattern != "window":
        return ""
    from panelwear.panel.aperture import window_refused

    rect = state.frame_of(step.patch, (255.0, 255.0, 255.0)).rect
    return window_refused(rect, state.panel.pitch_mm, state.probe_settings.aperture_mm)


def read_target(state: RunState, target: Target) -> Generator[Message, Any, list[Row]]:
    """Show one patch, settle, and read it; returns the usable rows.

    Two stages where the sequence states a wanted uncertainty: the first says by its scatter how many more it takes.
    """
    from panelwear.panel.reads import first_stage, total_readings

    shown = yield from show_settled(state, target)
    rows: list[Row] = []
    standing: list[Row] = []
    reads = target.patch.reads
    wanted = first = first_stage(reads, state.noise)
    repeat = 0
    while repeat < wanted:
        repeat += 1
        if state.resettle:  # what stood before something else was shown says nothing of dimming
            shown = yield from frame_settled(state, target.patch, shown.frame)
            standing = []
        state.count, state.so_far_cd_m2 = f"reading {repeat} of {wanted}", mean_luminance(rows)
        try:
            row = yield from one_reading(state, target, shown, repeat, standing)
        finally:
            state.count, state.so_far_cd_m2 = "", None
        if row is not None:
            standing.append(row)
            rows.append(row)
        rows, standing = [*map(state.newest, rows)], [*map(state.newest, standing)]
        if repeat == first:
            wanted = total_readings([row.Y_cd_m2 for row in rows if row.Y_cd_m2 is not None], reads, state.noise)
    return rows


def mean_luminance(rows: list[Row]) -> float | None:
    """Mean of the luminances, or ``None`` without any."""
    values = [row.Y_cd_m2 for row in rows if row.Y_cd_m2 is not None]
    return sum(values) / len(values) if values else None
