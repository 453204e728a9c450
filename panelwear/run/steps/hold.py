"""Hold a field for the eye or a camera."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.run.learned import learn
from panelwear.run.messages import ENDLESS_S, UNATTENDED_S, Keep, Message, Show, Tell, Wait
from panelwear.run.state import RunState
from patterns import build
from patterns.frame import Frame
from sequences.model import Hold


def _slate(state: RunState, step: Hold) -> Frame:
    started = state.checkpoint.record["started_utc"][:10]
    return build(
        "slate",
        state.width_px,
        state.height_px,
        codes=(60.0, 60.0, 60.0),
        panel=state.panel.name,
        hours=f"{state.checkpoint.hours:g}",
        date=started,
        field=step.photo or step.patch.key,
    )


def hold(step: Hold, state: RunState) -> Generator[Message, Any, None]:
    """Show the field with nothing else on the screen, until a key or for its seconds, and record that it was held."""
    if step.patch.level.basis != "code":
        yield from learn(state)
    resolved = state.resolve(step.patch)
    frame = _slate(state, step) if step.slate else state.frame_of(step.patch, resolved.codes)
    if step.photo:
        yield Tell(f"photograph: {step.photo}")
    yield Show(frame)
    seconds = step.seconds if step.seconds is not None else ENDLESS_S
    if state.unattended and step.seconds is None:
        seconds = UNATTENDED_S
    yield Wait(seconds, until_key=True)
    held = [*state.facts.get("held", [])]
    held.append({"step": step.number, "patch": step.patch.key, "photo": step.photo, "codes": list(resolved.codes)})
    yield Keep("held", held)
