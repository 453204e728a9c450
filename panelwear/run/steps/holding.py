"""Fields held for eye and camera: nothing on the screen but the field, and a record of what stood there when."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any, TypeGuard

from panelwear.run.learned import learn
from panelwear.run.messages import UNATTENDED_S, AwaitHand, Hand, Keep, Message, Show, Tell
from panelwear.run.state import RunState
from panelwear.screen.bands import blank
from panelwear.screen.camera import TitleCard
from panelwear.screen.contract import Card, Shown
from patterns.frame import Frame
from sequences.model import Hold, Step

NEXT = (
    "Return, space or a click: shows it, with nothing else on the screen",
    "Return, space or a click: once more, when it is taken",
    "left: the photograph before, again",
    "p: pause",
)
"""Said between two photographs; page-down and page-up of a presenter's remote do what Return and left do."""


def hold(step: Hold, state: RunState) -> Generator[Message, Any, None]:
    """Hold a field; of photographs that wait for a hand, one step back leads to those before."""
    pictures = [one for one in state.every_step or state.steps if _waits(one, state) and one.number < step.number]
    pictures = [*pictures, step] if _waits(step, state) else [step]
    at = len(pictures) - 1
    while at < len(pictures):
        back = yield from _held(pictures[at], state)
        at = max(0, at - 1) if back else at + 1


def _waits(step: Step, state: RunState) -> TypeGuard[Hold]:
    """Tell whether a step is a photograph that lasts until a hand says that it is taken."""
    return isinstance(step, Hold) and bool(step.photo) and step.seconds is None and not state.unattended


def _held(step: Hold, state: RunState) -> Generator[Message, Any, bool]:
    """Hold one field and record it; returns whether the one before is wanted again."""
    if step.patch.level.basis != "code":
        yield from learn(state)
    resolved = state.resolve(step.patch)
    if step.photo:
        yield Tell(f"photograph: {step.photo}")
    if _waits(step, state) and not step.title_card:
        yield Show(
            blank(state.width_px, state.height_px),
            card=Card((f"Next photograph: {step.photo}", "", *NEXT), corner="centre"),
        )
        asked: Hand = yield AwaitHand()
        if asked.back:
            return True
    frame = _title_card(state, step) if step.title_card else state.frame_of(step.patch, resolved.codes)
    shown: Shown = yield Show(frame)
    seconds = UNATTENDED_S if state.unattended and step.seconds is None else step.seconds
    hand: Hand = yield AwaitHand(seconds)
    entry = {
        "step": step.number,
        "patch": step.patch.key,
        "photo": step.photo,
        "codes": list(resolved.codes),
        "pattern": frame.pattern,
        "frame_sha256": shown.frame_sha256,
        "from_utc": hand.from_utc,
        "to_utc": hand.to_utc,
    }
    yield Keep("held", [*state.facts.get("held", []), entry])
    return hand.back


def _title_card(state: RunState, step: Hold) -> Frame:
    title_card = TitleCard(state.panel.name, f"{state.checkpoint.hours:g}", state.checkpoint.record["started_utc"][:10])
    return title_card.frame(state.width_px, state.height_px, step.photo or step.patch.key)
