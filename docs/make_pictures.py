"""Make the pictures of docs/screens.md, and that page, from the program itself: ``python docs/make_pictures.py``.

Each screen is drawn by the real screen on the driver that nobody sees, at 1280 x 720. A further one is a line in
``SCREENS``. Dark screens are brightened for print: what a dark room shows as 1 cd/m² is black on paper.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from PIL import Image

from groundwork.clock import VirtualClock
from panelwear.byeye.preparation import DARK
from panelwear.byeye.walk_cards import HELP as WALK_KEYS
from panelwear.cautions import CAUTIONS, LIGHT
from panelwear.run.progress import overlay_card
from panelwear.screen.camera import BETWEEN
from panelwear.screen.caution import caution_page
from panelwear.screen.contract import Card, Screen, far_corner
from panelwear.screen.hold import HELP as HOLD_KEYS
from panelwear.screen.operator import Progress
from panelwear.screen.page import Page
from panelwear.screen.person import GO_ON_HINT
from panelwear.screen.surface import LEAVING
from panelwear.screen.window import open_screen
from patterns import build
from patterns.frame import Picture

SIZE = (1280, 720)
DOCS = Path(__file__).resolve().parent
FOLDER = DOCS / "pictures" / "screens"
COLOURS = 48
DIM_CODE = 60
"""A picture whose brightest code is below this is brightened to ``PRINTED_CODE``."""
PRINTED_CODE = 190
Put = Callable[[Screen], None]


@dataclass(frozen=True, slots=True)
class Pictured:
    """One screen of the program."""

    name: str
    """Of its file."""
    caption: str
    put: Put
    """Puts it up."""


def page(made: Page) -> Put:
    """Put a page up."""
    return lambda screen: screen.page(made)


def over(code: float, card: Card) -> Put:
    """Lay a card over a grey field."""
    return lambda screen: _over(screen, code, card)


def _over(screen: Screen, code: float, card: Card) -> None:
    screen.show(build("field", *SIZE, codes=(code,) * 3))
    screen.card(card)


def _placement(screen: Screen) -> None:
    at_px = (SIZE[0] * 0.1, SIZE[1] * 0.9)
    pitch = 598.0 / SIZE[0]
    screen.show(
        build("target", *SIZE, codes=(70.0,) * 3, at_px=at_px, pitch_mm=(pitch, pitch), size_mm=30.0)
    )  # fmt: skip
    told = ("Lay the probe on the disc, its lens in the middle.", "", GO_ON_HINT)
    screen.card(Card(told, title="Put the probe at: lower left", corner=far_corner(at_px, *SIZE), by_hand=True))


ON_THE_WAY = Progress(41, 210, 0.19, 4300.0, "grid/x100y900/grey/c128/full", "last: 38.2 cd/m²  x 0.3127  y 0.3290")

SCREENS: tuple[Pictured, ...] = (
    Pictured("cautions", "Before an inspection, once an evening, in a lit room.", page(caution_page(CAUTIONS))),
    Pictured("cautions-by-eye", "Before the by-eye check: eyes adapt after it.", page(caution_page(CAUTIONS, (DARK,)))),
    Pictured("cautions-light", "Before bright patterns of `show` and `screens`.", page(caution_page(LIGHT))),
    Pictured("placement", "Where the probe goes; the card keeps away from it.", _placement),
    Pictured("overlay", "While a patch settles: place in the run and time left.", over(0.0, overlay_card(ON_THE_WAY))),
    Pictured("walk-keys", "Keys of the by-eye walk (h).", over(12.0, Card(tuple(WALK_KEYS), title="Keys"))),
    Pictured("hold-keys", "Keys of a held pattern, on a grey of code 128.", over(128.0, Card(HOLD_KEYS, title="Keys"))),
    Pictured(
        "question",
        "A question, with what was typed so far.",
        over(0.0, Card(("Return or a click takes it; Escape stops.",), title="Light in the room (lx)", entry="0.4")),
    ),
    Pictured(
        "photograph",
        "Between two photographs.",
        over(0.0, Card(("next photograph: 03-field-128", *BETWEEN), corner="centre")),
    ),
    Pictured("leaving", "Before the desktop comes back.", over(0.0, LEAVING)),
)
"""Every screen, in the order of the page."""


def picture_of(one: Pictured) -> Picture:
    """Put one screen up and return its pixels, ``(height, width, 3)`` uint8."""
    screen = open_screen(off_screen=SIZE, clock=VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC)))
    try:
        one.put(screen)
        return screen.pixels()
    finally:
        screen.close()


def printed(picture: Picture) -> Picture:
    """Brighten a dark screen so that it can be seen on paper."""
    most = int(picture.max())
    if not 0 < most < DIM_CODE:
        return picture
    return np.round(picture * (PRINTED_CODE / most)).astype(np.uint8)


def page_text() -> str:
    """Write docs/screens.md."""
    head = (
        "# Screens\n\nEvery screen as the program draws it at 1280 x 720, made by `python docs/make_pictures.py`. "
        "Dark ones are brightened\nfor print: in the room their text shows at most 1 cd/m². What stands on them is "
        "invented.\n"
    )
    return head + "".join(
        f"\n## {one.caption}\n\n![{one.caption}](pictures/screens/{one.name}.png)\n" for one in SCREENS
    )


def main() -> None:
    """Make all pictures and the page."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for one in SCREENS:
        image = Image.fromarray(printed(picture_of(one))).quantize(COLOURS, dither=Image.Dither.NONE)
        image.save(FOLDER / f"{one.name}.png", optimize=True)
    (DOCS / "screens.md").write_text(page_text(), encoding="utf-8")


if __name__ == "__main__":
    main()
