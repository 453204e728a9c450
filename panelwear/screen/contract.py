"""What the rest of the program may ask of the screen. No pygame here: fakes and the engine use these alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

from panelwear.screen.desk import Desk
from panelwear.screen.page import Page
from patterns.frame import Frame, Picture, Rect


@dataclass(frozen=True, slots=True)
class ScreenFacts:
    """What was found when the screen was opened; stored with the checkpoint."""

    number: int
    name: str
    width_px: int
    height_px: int
    driver: str
    library: str
    """Drawing library and version."""
    scaled: bool
    """True when the pixels are not the panel's own (only with ``--allow-scaled``)."""
    off_screen: bool
    """True for the driver that shows nothing (rehearsal only)."""
    desktop_sizes: tuple[tuple[int, int], ...] = ()
    notes: tuple[str, ...] = ()
    proof: str = ""
    """``compared``: every reading's pixels are taken from the display server; else why only the focus is watched."""
    monitor_sha256: str = ""
    """Digest of what the monitor says of itself (EDID); empty where nothing tells."""
    colour_table_sha256: str = ""
    """Digest of the graphics card's colour table; empty where nothing tells."""


@dataclass(frozen=True, slots=True)
class Proof:
    """Whether what is to be on the screen stands there, as far as can be told."""

    holds: bool
    why: str = ""
    """What is known against it, for the person; empty when it holds."""
    compared: bool = False
    """Whether the display server's own pixels were compared; else the focus alone is watched."""
    unasked: str = ""
    """Why they cannot be compared here; empty where they can, or where there is nothing to prove."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What is on the screen since when."""

    frame: Frame
    at_s: float
    """Monotonic clock when the exact last frame was on the screen."""
    frame_sha256: str
    """Digest of the pixels shown (``sha256`` of the raster bytes)."""
    governed: bool = False
    """True when the flash governor delayed or slowed the change."""


@dataclass(frozen=True, slots=True)
class ScreenEvent:
    """One thing that happened at the screen, in our own words."""

    kind: str
    """``key``, ``text``, ``pointer-down``, ``pointer-up``, ``pointer-move``, ``wheel``, ``expose``,
    ``focus-lost``, ``focus-gained``, ``hidden``, ``covered``, ``resized``, ``display-changed``, ``quit``."""
    at_s: float
    key: str = ""
    """``escape``, ``return``, ``space``, ``left``, ``right``, ``up``, ``down``, ``tab``, ``backspace``,
    ``delete``, ``page-up``, ``page-down``, ``home``, ``end``, ``f1`` …, or the character (``a``, ``+``)."""
    shift: bool = False
    control: bool = False
    text: str = ""
    """What was typed; of ``covered`` which window it is, of ``display-changed`` what is not as it was."""
    x: int = 0
    y: int = 0
    button: int = 0
    """1 left, 2 middle, 3 right; for ``wheel``: +1 up, -1 down."""

    @property
    def disturbs(self) -> bool:
        """Whether a reading in progress can no longer be trusted."""
        return self.kind in {
            "expose",
            "focus-lost",
            "focus-gained",
            "hidden",
            "covered",
            "resized",
            "display-changed",
        }

    @property
    def stops(self) -> bool:
        """Whether the person wants to leave: Escape, or the window closed."""
        return self.kind == "quit" or (self.kind == "key" and self.key == "escape")


@dataclass(frozen=True, slots=True)
class Card:
    """A small dim card of text: the operator's overlay, a prompt, a caution. Never on screen during a reading."""

    lines: tuple[str, ...]
    title: str = ""
    entry: str | None = None
    """Text typed so far; ``None``: nothing is to be typed."""
    corner: str = "bottom-left"
    """``bottom-left``, ``bottom-right``, ``top-left``, ``top-right``, ``centre``."""
    share_done: float | None = None
    """0..1 draws a progress bar."""
    one_line: bool = False
    """Small, and cut where it does not fit on one line: what may stand in a corner while a hand-held meter is read."""
    by_hand: bool = False
    """Read while the probe is moved: brighter, for eyes that come from a bright patch and a room lit to see the hand,
    and low enough for a corner that keeps clear of the probe."""


def far_corner(at_px: tuple[float, float], width_px: int, height_px: int) -> str:
    """Return the corner farthest from a spot, in a card's words: where a card disturbs a probe least.

    Args:
        at_px: The spot in pixels, x and y.
        width_px: Pixels across the screen.
        height_px: Pixels down the screen.
    """
    side = "left" if at_px[0] > width_px / 2 else "right"
    return f"{'top' if at_px[1] > height_px / 2 else 'bottom'}-{side}"


class Screen(Protocol):
    """The program's own full-screen surface. All calls from the main thread."""

    facts: ScreenFacts

    @property
    def changed_at_s(self) -> float:
        """Monotonic clock when the pixels on the screen last changed: a frame, a fade, a card, a repaint."""
        ...

    @property
    def visible(self) -> bool:
        """Whether the window is there to be seen: neither hidden nor minimised. Where the focus is does not matter."""
        ...

    def prove(self, around: Rect | None) -> Proof:
        """Compare what the display server holds with what is to be there: ``around`` whole, and a share of the rest.

        Where the server does not tell, a focus that was lost and is not back counts against the frame. Takes at most
        2 ms. What happened before it is found by it; what happens after it comes by ``poll``.
        """
        ...

    def show(self, frame: Frame, fade_s: float | None = None, card: Card | None = None) -> Shown:
        """Put a frame up, through the flash governor, with a fade; returns when the exact frame is on.

        Removes any card, but for ``card``, which comes with the frame, so that a moving frame can carry one steadily.
        ``fade_s``: ``None`` lets the governor choose (at least 0.3 s for a big change).
        Raises ``Stopped`` when Escape or a quit comes meanwhile, ``ScreenFault`` when the display is gone.
        """
        ...

    def card(self, card: Card | None, outlines: Sequence[tuple[int, int, int, int]] = ()) -> None:
        """Lay a card over the frame, thin outlines under it, or take all away (the frame's exact pixels come back)."""
        ...

    def page(self, page: Page) -> None:
        """Put a whole screen of words up, through the flash governor, with the mouse to be seen.

        Whatever comes next (``show``, ``darken``) takes it away, and the mouse with it. Raises as ``show`` does.
        """
        ...

    def desk(self, desk: Desk) -> None:
        """Put lines and words on the panel itself, with the mouse to be seen; otherwise as ``page``."""
        ...

    def row_at(self, x: int, y: int) -> str:
        """Name the row of the page that stands at a pixel; empty: none, or no page is on."""
        ...

    def outlines(self, frame_over: Sequence[tuple[int, int, int, int]]) -> None:
        """Draw thin dim outlines (x, y, w, h) over the frame, for marks; the next ``show`` or ``card`` clears them."""
        ...

    def darken(self) -> None:
        """Go black within 0.2 s, whatever the flash governor waits for: somebody wants the light gone."""
        ...

    def poll(self) -> tuple[ScreenEvent, ...]:
        """Pump events (call at least every 50 ms); repaints by itself on expose. Escape and quit are events here."""
        ...

    def pixels(self) -> Picture:
        """Copy of what the surface holds now, ``(height, width, 3)`` uint8 (proves nothing about the panel)."""
        ...

    def close(self, said: tuple[str, ...] = ()) -> None:
        """Fade to black and leave; ``said`` is told on the way out, long enough to be read or until a key."""
        ...


@dataclass(slots=True)
class FrameNote:
    """For tests: what a screen was asked to show, in order."""

    shown: list[Shown] = field(default_factory=list)
    cards: list[Card | None] = field(default_factory=list)
    pages: list[Page] = field(default_factory=list)
    desks: list[Desk] = field(default_factory=list)
