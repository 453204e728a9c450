"""Read black, the probe's own floor, and the room's light: what must be small beside the panel's black."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.readings.row import Row
from panelwear.run.messages import Ask, Keep, Message, Tell
from panelwear.run.state import RunState
from panelwear.run.steps.read import Target, read_target
from panelwear.screen.operator import Question
from sequences.model import Room

_ROOM_TO_BLACK = 1 / 20
"""The room's light must be under a twentieth of black (IEC 62977-2-1, stray light of the dark room)."""


def mean_luminance(rows: list[Row]) -> float | None:
    """Mean of the luminances, or ``None`` without any."""
    values = [row.Y_cd_m2 for row in rows if row.Y_cd_m2 is not None]
    return sum(values) / len(values) if values else None


def room(step: Room, state: RunState) -> Generator[Message, Any, None]:
    """Read the black screen; then the covered probe; then the screen switched off, where the person can."""
    if not state.has_probe:
        return
    patch = step.patch
    resolved = state.resolve(patch)
    black = mean_luminance((yield from read_target(state, Target(patch, resolved))))
    found: dict[str, float | None] = {"black_cd_m2": black}
    ways = (
        ("probe-floor", "cover the probe's opening with its cap or black cloth, the screen stays black"),
        ("screen-off", "put the probe back and switch the panel off with its own button (not the computer)"),
    )
    # With nobody there the probe would read the lit black screen and pass it off as its own floor.
    usual = "skip" if state.unattended else "ready"
    for purpose, text in ways:
        answer = yield Ask(Question(purpose, f"{text}; then 'ready', or 'skip'", usual, ("ready", "skip")))
        if answer == "ready":
            rows = yield from read_target(state, Target(patch, resolved, purpose=purpose))
            found[f"{purpose.replace('-', '_')}_cd_m2"] = mean_luminance(rows)
            what = "take the cover off" if purpose == "probe-floor" else "switch the panel on again"
            yield Ask(Question(f"{purpose}-done", f"{what}; then 'ready'", "ready", ("ready",)))
    yield Keep("room", found)
    off = found.get("screen_off_cd_m2")
    floor = found.get("probe_floor_cd_m2")
    if off is not None and black is not None and off > black * _ROOM_TO_BLACK:
        net = f"; the probe's own floor is {floor:.4f} cd/m²" if floor is not None else ""
        yield Tell(
            f"the switched-off screen reads {off:.4f} cd/m², more than a twentieth of black ({black:.4f} cd/m²){net}: "
            "figures take it off where the probe can tell it from nothing; else black is at or below its reading"
        )
