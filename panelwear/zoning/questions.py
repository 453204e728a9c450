"""The pages that lie over the panel while zones are drawn, and what is answered on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from panelwear.screen.choosing import Find, chosen_after
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Item, Items, Page, Words
from panelwear.telling.words import enumerated
from panelwear.zoning.editor import Editor, Wish

KEYS: tuple[tuple[str, str], ...] = (
    ("drag", "inside the chosen zone: move it; at its edge or corner: resize it; elsewhere: draw a new one"),
    ("right button", "draw a new zone, inside another one too"),
    ("click", "choose the zone under the mouse; again: the one beneath it"),
    ("n", "the next drag draws a new zone, wherever it begins; Return puts one in the middle"),
    ("Tab", "next zone; with Shift the one before"),
    ("arrows", "move by 1 px; with Shift by 10 px"),
    ("space", "arrows move the zone, resize it, or move the probe's place (then the mouse drags it too)"),
    ("0", "the probe's place back into the middle"),
    ("Return", "type a name"),
    ("r", "compare with the next zone; with Shift: all others with this one"),
    ("PgUp PgDn", "over or under its neighbour: where zones overlap, the upper one counts"),
    ("Delete", "take the zone away"),
    ("u or Ctrl+Z", "take back; with Shift make again"),
    ("s or Ctrl+S", "save into panel.toml"),
    ("l", "lines for a lit room, and back"),
    ("c", "the card of words into another corner"),
    ("t", "the picture beneath: on, off"),
    ("Escape", "leave; asks before anything is lost"),
)
_GO_ON = Item("back", "Go on drawing")
WISHES: dict[str, Wish] = {
    "discard": "leave",
    "save-anyway": "save-anyway",
    "save-over": "save-over",
    "save-beside": "save-beside",
}
"""Rows that are carried out as they are."""


def page_of(state: Editor, costs: Sequence[str] = ()) -> Page:
    """Return the page that lies over the panel.

    Args:
        state: asks for one.
        costs: what saving costs the readings there are, a sentence each.
    """
    rows: tuple[Item, ...]
    match state.asking:
        case "leave":
            rows = (Item("save", "Save and leave"), Item("discard", "Leave without saving"), _GO_ON)
            words = [Words(_unsaved(state))]
            title = "Save the zones?"
        case "cost":
            rows = (_GO_ON, Item("save-anyway", "Save nonetheless"))
            words = [Words(sentence) for sentence in costs]
            title = "These zones have been read before"
        case "changed":
            rows = (
                Item("save-beside", "Save these zones beside it", note="panel.toml stays as it is now"),
                Item("save-over", "Save these zones into it", note="the zones it has now are kept in a file beside"),
                _GO_ON,
            )
            words = [Words("Somebody changed the zones in panel.toml while you were drawing. Nothing is lost yet.")]
            title = "panel.toml has other zones now"
        case _:
            return Page("Keys", (Items((_GO_ON,)),), state.page_chosen, KEYS, state.room)
    keys = (("up down", "choose"), ("Return", "take"), ("Escape", "go on drawing"))
    return Page(title, (*words, Items(rows)), state.page_chosen, keys, state.room)


def _unsaved(state: Editor) -> str:
    then = {zone.id: zone for zone in state.saved.zones}
    now = {zone.id: zone for zone in state.plan.zones}
    parts = [
        ("changed", [zone.name for zone in state.plan.zones if zone.id in then and then[zone.id] != zone]),
        ("added", [zone.name for zone in state.plan.zones if zone.id not in then]),
        ("taken away", [zone.name for zone in state.saved.zones if zone.id not in now]),
    ]
    told = [f"{what} {enumerated(names)}" for what, names in parts if names]
    return f"You have {enumerated(told or ['put the zones in another order'])}. Nothing of this is saved yet."


def answered(state: Editor, event: ScreenEvent, find: Find) -> Editor:
    """Work one event into the page that lies over the panel; Escape goes back to drawing and changes nothing."""
    if event.stops or (state.asking == "keys" and event.kind == "key" and event.key in {"h", "?"}):
        return _back(state)
    choice = chosen_after(page_of(state), event, find)
    state = replace(state, page_chosen=choice.chosen)
    if not choice.taken:
        return state
    if choice.chosen == "save":
        return replace(state, asking="", wish="save", leaving=True)
    return replace(state, asking="", wish=WISHES[choice.chosen]) if choice.chosen in WISHES else _back(state)


def _back(state: Editor) -> Editor:
    return replace(state, asking="", leaving=False)


def asked_about_cost(state: Editor) -> Editor:
    """Ask whether to save although readings lose their zone."""
    return replace(state, asking="cost", page_chosen="back", wish="")


def asked_about_change(state: Editor) -> Editor:
    """Ask what to do where the file has other zones than those drawing began with."""
    return replace(state, asking="changed", page_chosen="save-beside", wish="")


def refused(state: Editor, why: str) -> Editor:
    """Say why nothing was saved; go on drawing."""
    return replace(state, said=f"Not saved: {why}", wish="", leaving=False)


def stored(state: Editor, said: str) -> Editor:
    """Take note that ``panel.toml`` has these zones now; undo still goes back before it."""
    wish: Wish = "leave" if state.leaving else ""
    return replace(state, saved=state.plan, said=said, wish=wish, leaving=False)
