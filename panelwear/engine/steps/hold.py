"""Hold a field for the eye or a camera."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.engine.learned import learn
from panelwear.engine.messages import ENDLESS_S, UNATTENDED_S, Keep, Message, Show, Tell, Wait
from panelwear.engine.session import Session
from patterns import build
from patterns.frame import Frame
from sequences.model import Hold


def _slate(session: Session, step: Hold) -> Frame:
    started = session.checkpoint.record["started_utc"][:10]
    return build(
        "slate",
        session.width_px,
        session.height_px,
        codes=(60.0, 60.0, 60.0),
        panel=session.panel.name,
        hours=f"{session.checkpoint.hours:g}",
        date=started,
        field=step.photo or step.patch.key,
    )


def hold(step: Hold, session: Session) -> Generator[Message, Any, None]:
    """Show the field with nothing else on the screen, until a key or for its seconds, and record that it was held."""
    if step.patch.level.basis != "code":
        yield from learn(session)
    resolved = session.resolve(step.patch)
    frame = _slate(session, step) if step.slate else session.frame_of(step.patch, resolved.codes)
    if step.photo:
        yield Tell(f"photograph: {step.photo}")
    yield Show(frame)
    seconds = step.seconds if step.seconds is not None else ENDLESS_S
    if session.unattended and step.seconds is None:
        seconds = UNATTENDED_S
    yield Wait(seconds, until_key=True)
    held = [*session.facts.get("held", [])]
    held.append({"step": step.number, "patch": step.patch.key, "photo": step.photo, "codes": list(resolved.codes)})
    yield Keep("held", held)
