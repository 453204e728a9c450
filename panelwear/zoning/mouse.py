"""What the mouse does to the zones: take hold, carry along, let go."""

from __future__ import annotations

from dataclasses import replace

from panelwear.zoning import plan as plans
from panelwear.zoning.editor import Drag, Editor, committed, with_new
from panelwear.zoning.rects import Size, clamped, grip_at, holds, moved, resized, spanned


def pressed(state: Editor, at: Size, draws: bool) -> Editor:
    """Take hold of what lies under the mouse; with ``draws``, or where nothing does, begin a new zone."""
    at = (clamped(at[0], 0, state.panel[0]), clamped(at[1], 0, state.panel[1]))
    state = replace(state, said="")
    one = state.plan.one
    if one is None or draws or state.armed:
        return replace(state, drag=Drag("draw", at, at, state.plan))
    x, y = one.probe_at_px
    if max(abs(at[0] - x), abs(at[1] - y)) <= state.grip_reach and state.mode == "probe":
        return replace(state, drag=Drag("probe", at, at, state.plan))
    grip = grip_at(one.rect, at, state.grip_reach)
    if grip:
        return replace(state, drag=Drag("resize", at, at, state.plan, grip))
    return replace(state, drag=Drag("move" if holds(one.rect, at) else "draw", at, at, state.plan))


def dragged(state: Editor, at: Size) -> Editor:
    """Carry what is held along."""
    drag = state.drag
    if drag is None:
        return state
    drag = replace(drag, now=(clamped(at[0], 0, state.panel[0]), clamped(at[1], 0, state.panel[1])))
    right, down = drag.now[0] - drag.start[0], drag.now[1] - drag.start[1]
    plan = drag.before
    match drag.what:
        case "move" if not drag.is_click:
            plan = plan.with_one(lambda zone: zone.with_rect(moved(zone.rect, right, down, state.panel)))
        case "resize":
            plan = plan.with_one(lambda zone: zone.with_rect(resized(zone.rect, drag.grip, right, down, state.panel)))
        case "probe":
            plan = plan.with_one(lambda z: z.with_probe((z.probe_at_px[0] + right, z.probe_at_px[1] + down)))
    return replace(state, drag=drag, plan=plan)


def let_go(state: Editor) -> Editor:
    """Leave what was held where it is, as one step of undo; where the hand hardly moved, choose what it points at."""
    drag = state.drag
    if drag is None:
        return state
    state = replace(state, drag=None, armed=False)
    if drag.what in {"draw", "move"} and drag.is_click:
        found = plans.topmost(drag.before, drag.start, below=drag.before.chosen)
        return replace(state, plan=replace(drag.before, chosen=None if found is None else found.id))
    if drag.what == "draw":
        return _drawn(state, drag)
    return committed(state, state.plan, drag.before)


def _drawn(state: Editor, drag: Drag) -> Editor:
    rect = spanned(drag.start, drag.now, state.panel)
    return with_new(state, plans.added(drag.before, rect, state.fresh_id))
