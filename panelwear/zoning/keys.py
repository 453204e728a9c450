"""What the keys do to the zones, and to a name that is being typed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from panelwear.screen.contract import ScreenEvent
from panelwear.zoning import plan as plans
from panelwear.zoning.editor import (
    CORNERS,
    MODES,
    Editor,
    Entry,
    committed,
    dropped,
    entry_fault,
    entry_taken,
    leaving,
    naming,
    redone,
    undone,
    with_new,
)
from panelwear.zoning.plan import Plan
from panelwear.zoning.rects import LEAST_PX, Size, moved, resized, spanned

ARROWS: dict[str, Size] = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}
FAR_STEP_PX = 10


def pressed_key(state: Editor, event: ScreenEvent) -> Editor:
    """Do what a key does here; one that means nothing changes nothing."""
    if state.drag is not None:
        # A key during a drag only ends it: the hand is on the mouse.
        return dropped(state) if event.key == "escape" else state
    if state.entry is not None:
        return _entry_key(state, state.entry, event)
    if event.control:
        return _control_key(state, event)
    state = replace(state, said="")
    if event.key == "escape":
        return replace(state, armed=False) if state.armed else leaving(state)
    if event.key in ARROWS:
        return _nudged(state, event)
    act = ACTS.get(event.key)
    return state if act is None else act(state, event)


def _control_key(state: Editor, event: ScreenEvent) -> Editor:
    match event.key:
        case "z":
            return redone(state) if event.shift else undone(state)
        case "y":
            return redone(state)
        case "s":
            return _saving(state)
    return state


def _compared(state: Editor, event: ScreenEvent) -> Editor:
    change = plans.reference_of_all if event.shift else plans.next_reference
    return committed(state, change(state.plan))


def _cycled(state: Editor, event: ScreenEvent) -> Editor:
    return replace(state, plan=plans.cycled(state.plan, -1 if event.shift else 1))


def _next_corner(corner: str) -> str:
    return CORNERS[(CORNERS.index(corner) + 1) % len(CORNERS)]


def _removed(state: Editor) -> Editor:
    one = state.plan.one
    if one is None:
        return state
    left = [zone.name for zone in state.plan.zones if zone.reference == one.id]
    said = f"{one.name} is gone; u brings it back."
    if left:
        said += f" Compared with nothing now: {', '.join(left)}."
    return replace(committed(state, plans.removed(state.plan)), said=said)


def _nudged(state: Editor, event: ScreenEvent) -> Editor:
    step = FAR_STEP_PX if event.shift else 1
    right, down = ARROWS[event.key][0] * step, ARROWS[event.key][1] * step
    panel = state.panel
    match state.mode:
        case "move":
            plan = state.plan.with_one(lambda z: z.with_rect(moved(z.rect, right, down, panel)))
        case "resize":
            # At the lower right corner, as the hand pulls it.
            plan = state.plan.with_one(lambda z: z.with_rect(resized(z.rect, "se", right, down, panel)))
        case "probe":
            plan = state.plan.with_one(lambda z: z.with_probe((z.probe_at_px[0] + right, z.probe_at_px[1] + down)))
    return committed(state, plan)


def _in_the_middle(state: Editor) -> Plan:
    w, h = max(LEAST_PX, state.panel[0] // 5), max(LEAST_PX, state.panel[1] // 5)
    x, y = (state.panel[0] - w) // 2, (state.panel[1] - h) // 2
    return plans.added(state.plan, spanned((x, y), (x + w, y + h), state.panel), state.fresh_id)


def _saving(state: Editor) -> Editor:
    return replace(state, wish="save") if state.is_changed else replace(state, said="All is saved already.")


def _entry_key(state: Editor, entry: Entry, event: ScreenEvent) -> Editor:
    match event.key:
        case "escape":
            return replace(state, entry=None)
        case "return" if not entry_fault(state):
            return entry_taken(state)
        case "tab" if not entry_fault(state):
            return _cycled(entry_taken(state), event)
        case "backspace":
            return replace(state, entry=Entry("" if entry.fresh else entry.typed[:-1], fresh=False))
        case "left" | "right" | "up" | "down":
            return _nudged(state, event)
    return state


Act = Callable[[Editor, ScreenEvent], Editor]
"""What a key does."""
ACTS: dict[str, Act] = {
    "tab": _cycled,
    "u": lambda state, event: redone(state) if event.shift else undone(state),
    "delete": lambda state, _: _removed(state),
    "r": _compared,
    "page-up": lambda state, _: committed(state, plans.reordered(state.plan, 1)),
    "page-down": lambda state, _: committed(state, plans.reordered(state.plan, -1)),
    "0": lambda state, _: committed(state, state.plan.with_one(lambda zone: replace(zone, probe_px=None))),
    "return": lambda state, _: with_new(state, _in_the_middle(state)) if state.armed else naming(state),
    "space": lambda state, _: replace(state, mode=MODES[state.mode]),
    "n": lambda state, _: replace(state, armed=True),
    "s": lambda state, _: _saving(state),
    "l": lambda state, _: replace(state, room="lit" if state.room == "dark" else "dark"),
    "c": lambda state, _: replace(state, corner=_next_corner(state.corner), pinned=True),
    "t": lambda state, _: replace(state, trace=not state.trace),
    "h": lambda state, _: replace(state, asking="keys", page_chosen="back"),
    "?": lambda state, _: replace(state, asking="keys", page_chosen="back"),
}
