"""A whole screen of words to work with: titles, text, rows to choose from or to fill in, buttons, a drawing, keys.

Records alone: what a page says is decided by whoever makes it, how it looks by ``panelwear.screen.sheet``, what a hand
does on it by ``panelwear.screen.choosing``. A page never stands beside a patch that is read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Tone = Literal["plain", "strong", "soft", "warning"]
Room = Literal["dark", "lit"]


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph; line breaks are kept, long lines are broken."""

    text: str
    tone: Tone = "plain"
    lead: str = ""
    """A word or two before it in a column of their own, the same for all paragraphs of a page that have one."""


@dataclass(frozen=True, slots=True)
class Item:
    """One row that can be chosen: a menu entry, a panel, a question of a form, a button."""

    id: str
    label: str
    value: str = ""
    """What stands beside the label: an answer, a state, a shortcut; of an entry the text typed so far."""
    note: str = ""
    """A second line in softer ink."""
    mark: str = ""
    """A word at the end of the row, such as ``changed``; never told by colour alone."""
    fault: str = ""
    """What is wrong with the value, in one sentence under the row."""
    entry: bool = False
    """Whether something is typed into the value: a box with a caret while it is chosen."""
    enabled: bool = True
    """A row that cannot be taken says why in its note."""


@dataclass(frozen=True, slots=True)
class Items:
    """Rows under each other, labels and values aligned; the list scrolls so that the chosen row is seen."""

    items: tuple[Item, ...]
    brief: bool = False
    """Whether a note is seen of the chosen row alone: more rows stand on the screen."""


@dataclass(frozen=True, slots=True)
class Buttons:
    """Rows beside each other, each a button; chosen and clicked like rows."""

    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Bar:
    """How far something is, 0 to 1."""

    share: float


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of a drawing, in shares of its width and height: ``x, y, w, h``."""

    at: tuple[float, float, float, float]
    label: str = ""
    filled: bool = False
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Dot:
    """A disc of a drawing; its radius is a share of the drawing's width."""

    at: tuple[float, float]
    radius: float
    label: str = ""
    filled: bool = False
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line of a drawing through points, with an arrow's head at its end where it points somewhere."""

    through: tuple[tuple[float, float], ...]
    arrow: bool = False
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Drawing:
    """Lines, boxes and discs, drawn to scale: width over height is ``aspect``; words in a drawing are few."""

    shapes: tuple[Box | Dot | Stroke, ...]
    aspect: float = 16 / 9
    height_share: float = 0.4
    """Of the page's height."""


Part = Words | Items | Buttons | Bar | Drawing


@dataclass(frozen=True, slots=True)
class Page:
    """A whole screen of words."""

    title: str
    parts: tuple[Part, ...]
    chosen: str = ""
    """The id of the row that is chosen."""
    keys: tuple[tuple[str, str], ...] = ()
    """Keys and what they do, in an aligned column along the foot."""
    room: Room = "dark"
    """``dark``: at most 1 cd/m², for eyes adapted to it; ``lit``: readable beside a lamp, contrast 7 : 1."""

    @property
    def items(self) -> tuple[Item, ...]:
        """All rows and buttons, in the order the arrow keys go through them."""
        return tuple(item for part in self.parts if isinstance(part, Items | Buttons) for item in part.items)

    def item(self, name: str) -> Item | None:
        """Find a row by its id."""
        return next((item for item in self.items if item.id == name), None)
