"""The state of drawing zones, and the steps it takes: no screen and no file here, and nothing is changed in place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from panelwear.screen.page import Room
from panelwear.zoning import plan as plans
from panelwear.zoning.plan import Plan
from panelwear.zoning.rects import LEAST_PX, Size

Mode = Literal["move", "resize", "probe"]
MODES: dict[Mode, Mode] = {"move": "resize", "resize": "probe", "probe": "move"}
"""What the arrow keys do, and what comes after it."""
Asking = Literal["", "keys", "leave", "cost", "changed"]
"""Which page lies over the panel: all keys; whether to save; what saving costs; that the file is another one now."""
Wish = Literal["", "save", "save-anyway", "save-over", "save-beside", "leave"]
"""What is to be done outside, by whoever runs the editor: in spite of what it costs, over others."""
CORNERS = ("bottom-right", "bottom-left", "top-left", "top-right")
LONGEST_NAME = 40
MOST_STEPS = 1000
"""So many changes can be taken back."""


@dataclass(frozen=True, slots=True)
class Drag:
    """The mouse with a button down."""

    what: Literal["draw", "move", "resize", "probe"]
    start: Size
    now: Size
    before: Plan
    """What Escape brings back."""
    grip: str = ""

    @property
    def is_click(self) -> bool:
        """Whether the hand has hardly moved: nothing was drawn, something was pointed at."""
        return max(abs(self.now[0] - self.start[0]), abs(self.now[1] - self.start[1])) < LEAST_PX


@dataclass(frozen=True, slots=True)
class Entry:
    """A name being typed."""

    typed: str
    fresh: bool = True
    """Nothing was typed yet: the first character takes the place of the old name."""


@dataclass(frozen=True, slots=True)
class Editor:
    """The zones under the hand, and everything else one sees."""

    panel: Size
    plan: Plan
    saved: Plan
    """As ``panel.toml`` has them; its zones' ids are their numbers there."""
    fresh_id: int
    """Id of the next zone that is drawn; none is used twice, so that undo brings no stranger back."""
    past: tuple[Plan, ...] = ()
    future: tuple[Plan, ...] = ()
    mode: Mode = "move"
    drag: Drag | None = None
    entry: Entry | None = None
    armed: bool = False
    """The next drag draws a new zone, wherever it begins."""
    asking: Asking = ""
    page_chosen: str = ""
    leaving: bool = False
    """Whether saving was asked for on the way out."""
    said: str = ""
    wish: Wish = ""
    room: Room = "dark"
    trace: bool = True
    """Whether the picture beneath is to be seen, where there is one."""
    corner: str = "bottom-right"
    """Where the card of words lies."""
    pinned: bool = False
    """Whether a hand put it there: it stays until another zone is chosen."""

    @property
    def is_changed(self) -> bool:
        """Whether anything would be lost."""
        return self.plan.zones != self.saved.zones

    @property
    def grip_reach(self) -> int:
        """How near to an edge the mouse takes hold of it, in pixels."""
        return max(4, self.panel[1] // 135)


def begun(plan: Plan, panel: Size) -> Editor:
    """Begin with the zones of a panel."""
    start = plans.cycled(replace(plan, chosen=None), 1)
    return Editor(panel, start, start, fresh_id=len(plan.zones))


def committed(state: Editor, plan: Plan, before: Plan | None = None) -> Editor:
    """Take a change over as one step of undo; choosing another zone is none."""
    earlier = state.plan if before is None else before
    if plan.zones == earlier.zones:
        return replace(state, plan=plan)
    return replace(state, plan=plan, past=(*state.past, earlier)[-MOST_STEPS:], future=())


def undone(state: Editor) -> Editor:
    """Take the last change back."""
    if not state.past:
        return replace(state, said="Nothing to take back.")
    plan = state.past[-1]
    return replace(state, plan=plan, past=state.past[:-1], future=(*state.future, state.plan), said="Taken back.")


def redone(state: Editor) -> Editor:
    """Make the change again that was taken back last."""
    if not state.future:
        return replace(state, said="Nothing to make again.")
    plan = state.future[-1]
    return replace(state, plan=plan, past=(*state.past, state.plan), future=state.future[:-1], said="Made again.")


def leaving(state: Editor) -> Editor:
    """Leave; where something would be lost, ask first."""
    if not state.is_changed:
        return replace(state, wish="leave")
    return replace(state, asking="leave", page_chosen="save")


def with_new(state: Editor, plan: Plan) -> Editor:
    """Take a plan over that has one zone more, and ask for its name."""
    state = replace(committed(state, plan), fresh_id=state.fresh_id + 1, mode="move", armed=False)
    return naming(state)


def dropped(state: Editor) -> Editor:
    """Break a drag off; everything is as it was before it."""
    return state if state.drag is None else replace(state, plan=state.drag.before, drag=None, armed=False)


def naming(state: Editor) -> Editor:
    """Begin to type the name of the chosen zone."""
    one = state.plan.one
    return state if one is None else replace(state, entry=Entry(one.name), said="")


def entry_fault(state: Editor) -> str:
    """Say what is wrong with the name that is being typed; empty: nothing."""
    return "" if state.entry is None else plans.name_fault(state.plan, state.entry.typed)


def typed(state: Editor, entry: Entry, text: str) -> Editor:
    """Add what was typed to a name."""
    before = "" if entry.fresh else entry.typed
    added = "".join(character for character in text if character.isprintable())
    return replace(state, entry=Entry((before + added)[:LONGEST_NAME], fresh=False)) if added else state


def entry_taken(state: Editor) -> Editor:
    """Take a typed name over where it is one; else the old one stays, and that is said."""
    if state.entry is None:
        return state
    fault = entry_fault(state)
    if fault:
        return replace(state, entry=None, said=f"The name was not taken: {fault}.")
    return replace(committed(state, plans.renamed(state.plan, state.entry.typed)), entry=None)
