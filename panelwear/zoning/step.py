"""One event in, the next state out: the whole editor as one function."""

from __future__ import annotations

from dataclasses import replace

from panelwear.screen.choosing import Find
from panelwear.screen.contract import ScreenEvent
from panelwear.zoning.editor import Editor, dropped, entry_taken, leaving, typed
from panelwear.zoning.keys import pressed_key
from panelwear.zoning.mouse import dragged, let_go, pressed
from panelwear.zoning.questions import answered
from panelwear.zoning.view import clear_of


def step(state: Editor, event: ScreenEvent, find: Find) -> Editor:
    """Work one event in, on a page as on the panel; the card of words keeps out of the way.

    Args:
        state: before it.
        event: what happened at the screen.
        find: names the row at a pixel, where a page is on.
    """
    state = replace(state, wish="")
    there = answered(state, event, find) if state.asking else _on_the_panel(state, event)
    return clear_of(there if there.plan.chosen == state.plan.chosen else replace(there, pinned=False))


def _on_the_panel(state: Editor, event: ScreenEvent) -> Editor:
    at = (event.x, event.y)
    match event.kind:
        case "quit":
            state = leaving(entry_taken(dropped(state)))
        case "pointer-down" if event.button in {1, 3}:
            state = pressed(entry_taken(dropped(state)), at, event.button == 3)
        case "pointer-move":
            state = dragged(state, at)
        case "pointer-up":
            state = let_go(dragged(state, at))
        case "text" if state.entry is not None and state.drag is None:
            state = typed(state, state.entry, event.text)
        case "key":
            state = pressed_key(state, event)
    return state
