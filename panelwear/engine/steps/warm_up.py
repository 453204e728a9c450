"""Warm the panel on a moving mid-grey at the sequence's mean light."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.engine.messages import Keep, Message, Show, Tell, Wait
from panelwear.engine.session import Session
from panelwear.screen.contract import Card
from patterns import build
from sequences.model import WarmUp

_STEP_S = 0.5
"""The grey moves on this often."""


def warm_up(step: WarmUp, session: Session) -> Generator[Message, Any, None]:
    """Show the moving grey for the stated minutes, with a dim countdown."""
    minutes = step.minutes if session.warm_up_minutes is None else session.warm_up_minutes
    if minutes < step.minutes:
        session.not_settled = True
        yield Tell(f"warm-up cut to {minutes:g} min of {step.minutes:g}: every reading is flagged not-settled")
    seconds = minutes * 60
    yield Tell(f"warm-up: {minutes:g} min on a moving grey; leave the panel alone, keep the room dark")
    passed_s = 0.0
    while passed_s < seconds:
        frame = build(
            "warm-up",
            session.width_px,
            session.height_px,
            codes=(step.mean_code,) * 3,
            t_s=passed_s,
        )
        yield Show(frame, 0.0 if passed_s else None)
        left_s = seconds - passed_s
        clock = f"{int(left_s // 60)}:{int(left_s % 60):02d}"
        yield Wait(min(_STEP_S, left_s), card=Card((f"warm-up, {clock} left",)))
        passed_s += _STEP_S
    yield Keep("warm_up", {"minutes": minutes, "verdict": "by time"})
