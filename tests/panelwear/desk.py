"""A person before a screen and a terminal, whose other ends a test holds."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime

from groundwork.clock import VirtualClock
from panelwear.screen.fake import FakeScreen
from panelwear.screen.person import ScreenOperator
from panelwear.screen.terminal import Terminal


class Desk:
    """A screen and a terminal whose other ends the test holds."""

    def __init__(self) -> None:
        source, self._typing = os.pipe()
        self.source = os.fdopen(source, "r", encoding="utf-8")
        self.out = io.StringIO()
        self.clock = VirtualClock(datetime(2026, 2, 3, tzinfo=UTC))
        self.screen = FakeScreen(960, 540, self.clock)
        self.terminal = Terminal(self.source, self.out)
        self.person = ScreenOperator(self.screen, self.terminal, self.clock)

    def type_line(self, text: str) -> None:
        os.write(self._typing, f"{text}\n".encode())

    def hang_up(self) -> None:
        if self._typing >= 0:
            os.close(self._typing)
            self._typing = -1

    def close(self) -> None:
        self.hang_up()
        self.source.close()


@contextmanager
def laid_desk() -> Iterator[Desk]:
    """Lay a desk, and clear it afterwards."""
    made = Desk()
    try:
        yield made
    finally:
        made.close()
