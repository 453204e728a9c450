"""A hand on keys and mouse, for a walk over three fields."""

from __future__ import annotations

from panelwear.byeye.walk import Walk
from panelwear.byeye.walk_fields import WalkField
from panelwear.screen.contract import ScreenEvent

FIELDS = (
    WalkField("near-black", "grey", 4.0),
    WalkField("mid", "grey", 128.0),
    WalkField("ramp", "grey", 255.0, "smooth-ramp"),
)
WIDTH, HEIGHT = 1920, 1080


class Hand:
    """Feeds a walk as a person's hand would, a tenth of a second an event."""

    def __init__(self, walk: Walk) -> None:
        self.walk = walk
        self.now_s = 100.0

    def event(self, kind: str, **rest: object) -> None:
        self.now_s += 0.1
        self.walk.handle(ScreenEvent(kind, self.now_s, **rest))  # type: ignore[arg-type]

    def keys(self, *keys: str, shift: bool = False) -> None:
        for key in keys:
            self.event("key", key=key, shift=shift)

    def drag(self, x0: int, y0: int, x1: int, y1: int, button: int = 1) -> None:
        self.event("pointer-down", x=x0, y=y0, button=button)
        self.event("pointer-move", x=(x0 + x1) // 2, y=(y0 + y1) // 2)
        self.event("pointer-move", x=x1, y=y1)
        self.event("pointer-up", x=x1, y=y1, button=button)

    def click(self, x: int = 960, y: int = 540, button: int = 1) -> None:
        self.event("pointer-down", x=x, y=y, button=button)
        self.event("pointer-up", x=x, y=y, button=button)

    def wheel(self, by: int, shift: bool = False) -> None:
        for _ in range(abs(by)):
            self.event("wheel", button=1 if by > 0 else -1, shift=shift)

    def said(self) -> str:
        card = self.walk.view(self.now_s).card
        return " ".join((card.title, *card.lines)) if card else ""


def hand(**rest: object) -> Hand:
    return Hand(Walk(FIELDS, WIDTH, HEIGHT, began_s=100.0, **rest))  # type: ignore[arg-type]
