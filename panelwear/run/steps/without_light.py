"""Read black, then the probe's own floor and the room's light: what a person has to do for them stands on pages."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from typing import Any

from panelwear.run.messages import Ask, Keep, Message, Tell
from panelwear.run.pages import Held, Way, held_question
from panelwear.run.state import RunState
from panelwear.run.steps.read import mean_luminance, read_target
from panelwear.run.steps.target import Target
from sequences.model import Room

_ROOM_TO_BLACK = 1 / 20
"""The room's light must be under a twentieth of black (IEC 62977-2-1, stray light of the dark room)."""
READY, SKIP = "ready", "skip"


@dataclass(frozen=True, slots=True)
class Dark:
    """A reading without the panel's light, for which a person has to do something before and after."""

    purpose: str
    title: str
    before: str
    after: str
    why: str

    @property
    def ways(self) -> tuple[Way, ...]:
        """What may be answered."""
        without = "figures of black rest on the black screen alone"
        return (
            Way(READY, "r", "It is done: read", "about as long as one patch takes"),
            Way(SKIP, "k", "Skip this", without),
        )


DARK = (
    Dark(
        "probe-floor",
        "What the probe reads without light",
        "Cover the probe's opening with its cap or with black cloth. The screen stays black.",
        "Take the cover off, and lay the probe where it was.",
        "What it reads now is its own; figures of black are held against it.",
    ),
    Dark(
        "screen-off",
        "What the room's light does",
        "Put the probe back, and switch the panel off with its own button (not the computer); Return reads then too.",
        "Switch the panel on again.",
        "What it reads now comes from the room, and is no light of the panel.",
    ),
)
"""In their order."""


def room(step: Room, state: RunState) -> Generator[Message, Any, None]:
    """Read the black screen; then the covered probe; then the screen switched off, where the person can."""
    if not state.has_probe:
        return
    patch = step.patch
    resolved = state.resolve(patch)
    black = mean_luminance((yield from read_target(state, Target(patch, resolved))))
    found: dict[str, float | None] = {"black_cd_m2": black}
    # With nobody there the probe would read the lit black screen and pass it off as its own floor.
    usual = SKIP if state.unattended else READY
    for dark in DARK:
        held = Held(dark.title, dark.before, dark.why, state.safe, state.where, calm=True)
        if (yield Ask(held_question(dark.purpose, held, dark.ways, usual=usual))) == READY:
            rows = yield from read_target(state, Target(patch, resolved, purpose=dark.purpose))
            found[f"{dark.purpose.replace('-', '_')}_cd_m2"] = mean_luminance(rows)
            back = Held(dark.title, dark.after, "", state.safe, state.where, calm=True)
            done = Way(READY, "g", "Go on", "the run goes on with the next patch")
            yield Ask(held_question(f"{dark.purpose}-done", back, (done,)))
    yield Keep("room", found)
    off = found.get("screen_off_cd_m2")
    floor = found.get("probe_floor_cd_m2")
    if off is not None and black is not None and off > black * _ROOM_TO_BLACK:
        net = f"; the probe's own floor is {floor:.4f} cd/m²" if floor is not None else ""
        yield Tell(
            f"the switched-off screen reads {off:.4f} cd/m², more than a twentieth of black ({black:.4f} cd/m²){net}: "
            "figures take it off where the probe detects it; else black is at or below its reading"
        )
