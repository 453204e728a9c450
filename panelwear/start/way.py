"""The probe's way before an inspection: where it is put, in which order, how long it takes, what it cannot tell."""

from __future__ import annotations

from dataclasses import dataclass, replace

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Buttons, Drawing, Item, Page, Part, Words
from panelwear.start.facts import World
from panelwear.start.state import ShowWay, State, Wish

MOST_NOTES = 3
"""Sentences on what this panel makes the sequence leave out; the others stand in the listing of its steps."""


@dataclass(frozen=True, slots=True)
class Planned:
    """What was found out of a session to come; with ``fault`` nothing but why it cannot be begun."""

    sequence: str = ""
    words: str = ""
    """Placements and minutes."""
    cannot: tuple[str, ...] = ()
    """What this sequence cannot tell."""
    notes: tuple[str, ...] = ()
    """What this panel makes it leave out."""
    drawing: Drawing | None = None
    """The panel's outline with the way; ``None`` where the probe is put nowhere."""
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Way:
    """The page between the form and the session."""

    asked: ShowWay
    planned: Planned | None = None
    """``None`` until it is known."""
    chosen: str = ""

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        buttons = tuple(Item(name, words) for name, words, _ in self._buttons())
        chosen = self.chosen or buttons[0].id
        return Page(self._title(), (*self._parts(), Buttons(buttons)), chosen=chosen)

    def _title(self) -> str:
        named = self.planned is not None and self.planned.sequence
        return f"The probe's way: {named}" if named else self.asked.run.title

    def _parts(self) -> tuple[Part, ...]:
        found = self.planned
        if found is None:
            return (Words("Working the probe's way out.", "soft"),)
        if found.fault:
            return (Words(found.fault, "warning"),)
        left = len(found.notes) - MOST_NOTES
        more = (f"{left} more of these: 'Show the steps first' lists them.",) if left > 0 else ()
        told = (
            *(Words(one, "strong") for one in found.cannot),
            *(Words(one, "soft") for one in found.notes[:MOST_NOTES]),
        )
        drawn = () if found.drawing is None else (found.drawing,)
        return (Words(found.words), *told, *(Words(one, "soft") for one in more), *drawn)

    def _buttons(self) -> tuple[tuple[str, str, Wish | None], ...]:
        back = ("back", "Back", None)
        if self.planned is None or self.planned.fault:
            return (back,)
        return (("begin", "Begin", self.asked.run), back)

    def own(self, event: ScreenEvent) -> Way | None:
        """Go through the buttons sideways too."""
        if event.kind != "key" or event.key not in {"left", "right"}:
            return None
        names = [name for name, _, _ in self._buttons()]
        at = names.index(self.chosen or names[0]) + (1 if event.key == "right" else -1)
        return replace(self, chosen=names[min(max(at, 0), len(names) - 1)])

    def take(self, state: State, row: str) -> State:
        """Begin, with the form left beneath as a session expects it, or go back to the form."""
        wish = next((wish for name, _, wish in self._buttons() if name == row), None)
        below = state.back()
        return below if wish is None else below.wishing(wish)


def with_way(state: State, asked: ShowWay, found: Planned) -> State:
    """Show what was found out, where the page that waits for it is still on."""
    view = state.view
    return state.instead(Way(asked, found)) if isinstance(view, Way) and view.asked == asked else state
