"""Fields held for a camera: title card first, then each field alone on the screen until a key says that it is taken."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from groundwork.clock import Clock
from panelwear.screen.contract import Card, Screen
from panelwear.screen.hold import Held, hold
from panelwear.screen.waiting import goes_on, moments
from patterns import build
from patterns.frame import Frame

TITLE_CARD_CODE = 60.0
ON_TITLE_CARD = "photograph the title card, then Return, space or a click"
BETWEEN = ("Return, space or a click shows it, with nothing else on the screen;", "once more when it is taken")


@dataclass(frozen=True, slots=True)
class TitleCard:
    """What stands on the first photograph, so that the others can be told apart months later."""

    panel: str
    hours: str
    date: str

    def frame(self, width_px: int, height_px: int, field: str) -> Frame:
        """Make its picture; ``field`` says what follows."""
        return build(
            "title-card",
            width_px,
            height_px,
            codes=(TITLE_CARD_CODE,) * 3,
            panel=self.panel,
            hours=self.hours,
            date=self.date,
            field=field,
        )


def photo_name(number: int, held: Held) -> str:
    """Return the name of a photograph: its number, pattern and codes, fit for a file name."""
    codes = "-".join(f"{code:g}" for code in (held.codes if len(set(held.codes)) > 1 else held.codes[:1]))
    return f"{number:02d}-{held.name}-c{codes}"


def _dark(screen: Screen) -> Frame:
    return build("field", screen.facts.width_px, screen.facts.height_px, codes=(0.0, 0.0, 0.0))


def _wait_for_hand(screen: Screen, clock: Clock) -> None:
    for events in moments(screen, clock):
        if any(goes_on(event) for event in events):
            return


def for_camera(
    screen: Screen, clock: Clock, pictures: Sequence[Held], title_card: TitleCard, say: Callable[[str], None]
) -> tuple[str, ...]:
    """Show the title card and then each picture, and return the names of the photographs.

    Before each picture its name stands on a dim card over black and on the terminal; while it is held, nothing else is
    on the screen and no key changes it. With ``seconds`` a picture ends by itself. Escape raises ``Stopped``.
    """
    size = (screen.facts.width_px, screen.facts.height_px)
    names = tuple(photo_name(number, held) for number, held in enumerate(pictures, start=1))
    screen.show(title_card.frame(*size, f"{len(names)} photographs follow"))
    say(f"photograph: 00-title-card ({ON_TITLE_CARD})")
    _wait_for_hand(screen, clock)
    for name, held in zip(names, pictures, strict=True):
        screen.show(_dark(screen))
        screen.card(Card((f"next photograph: {name}", *BETWEEN), corner="centre"))
        say(f"photograph: {name}")
        _wait_for_hand(screen, clock)
        _hold_one(screen, clock, replace(held, name=name, adjustable=False))
    screen.show(_dark(screen))
    return names


def _hold_one(screen: Screen, clock: Clock, held: Held) -> None:
    """Hold one picture alone until a hand or its seconds end it."""
    if held.seconds is not None:
        hold(screen, clock, held, lambda _: None)
        return
    screen.show(held.make(held.codes))
    _wait_for_hand(screen, clock)
