"""A journey's steps, those that docs/journeys.toml lists and in its order; each is kept as a picture where wanted."""

from __future__ import annotations

import os
import time
from dataclasses import dataclass, field

from tests.screens import PATIENCE_S, PICTURES, Display, different_pixels
from tests.scripts import script

FADE_S = 2.5
STILL_S = 0.6
"""A picture that has not changed for so long has come on whole."""


def steps_of(name: str) -> list[str]:
    """Return the steps of a journey as the document lists them."""
    (found,) = (one for one in script("journey_pictures").listed_journeys() if one.name == name)
    return [step for step, _ in found.steps]


@dataclass
class Journey:
    """One journey on a display."""

    name: str
    display: Display
    kept: list[str] = field(default_factory=list)

    def step(self, name: str, *, moves: bool = False) -> None:
        """Come to a step; its picture is kept where ``PANELWEAR_PICTURES`` names a folder.

        Args:
            name: Of the step; the next one of the list.
            moves: The picture never stands still: it is taken when a fade has had its time.
        """
        listed = steps_of(self.name)
        assert [*self.kept, name] == listed[: len(self.kept) + 1], f"docs/journeys.toml has {listed}"
        self.kept.append(name)
        if os.environ.get(PICTURES):
            self._wait_still(FADE_S if moves else PATIENCE_S)
            self.display.keep(f"{self.name}-{len(self.kept):02d}-{name}")

    def ended(self) -> None:
        """Every step of the list was come to."""
        assert self.kept == steps_of(self.name)

    def _wait_still(self, most_s: float) -> None:
        end_s = time.monotonic() + most_s
        before = self.display.grab()
        while time.monotonic() < end_s:
            time.sleep(STILL_S)
            now = self.display.grab()
            if not different_pixels(now, before):
                return
            before = now
