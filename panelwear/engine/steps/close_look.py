"""The end: the screen goes dark gently."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.engine.messages import Bell, Message, Show, Tell
from panelwear.engine.session import Session
from patterns import build
from sequences.model import CloseLook


def close_look(step: CloseLook, session: Session) -> Generator[Message, Any, None]:
    """Fade to black, say what was stored."""
    yield Show(build("field", session.width_px, session.height_px, codes=(0.0, 0.0, 0.0)), 1.0)
    failed = sum(row.Y_cd_m2 is None for row in session.rows)
    lost = f", {failed} of them without a value" if failed else ""
    yield Tell(f"{len(session.rows)} readings stored{lost}")
    yield Bell()
