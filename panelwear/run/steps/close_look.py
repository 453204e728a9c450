"""The end: the screen goes dark gently."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.run.messages import Bell, Message, Show, Tell
from panelwear.run.state import RunState
from patterns import build
from sequences.model import CloseLook


def close_look(step: CloseLook, state: RunState) -> Generator[Message, Any, None]:
    """Fade to black, say what was stored."""
    yield Show(build("field", state.width_px, state.height_px, codes=(0.0, 0.0, 0.0)), 1.0)
    failed = sum(row.Y_cd_m2 is None for row in state.rows)
    lost = f", {failed} of them without a value" if failed else ""
    yield Tell(f"{len(state.rows)} readings stored{lost}")
    yield Bell()
