"""What is drawn on the panel while zones are edited: a record for ``Screen.desk``, from the state alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from panelwear.screen.desk import Backdrop, Desk, Edge, Label, Ring, SideCard
from panelwear.screen.page import Tone
from panelwear.telling.words import counted
from panelwear.zoning.editor import CORNERS, MODES, Editor, Mode, entry_fault
from panelwear.zoning.fits import Fit, Probe, fit_of
from panelwear.zoning.plan import Drawn, Plan, meet, over_and_under
from panelwear.zoning.rects import grips_of, spanned
from patterns.frame import Rect

ARROWS_DO: dict[Mode, str] = {"move": "move the zone", "resize": "resize it", "probe": "move the probe's place"}
CARD_SHARE = (0.36, 0.85)
"""Width and height of the card at most, as shares of the panel: what it may lie over."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What does not change while zones are drawn."""

    panel_name: str
    probe: Probe
    backdrop: Backdrop | None = None


def desk_of(state: Editor, around: Surroundings) -> Desk:
    """Return all that lies on the panel now."""
    plan, one = state.plan, state.plan.one
    fits = {zone.id: fit_of(zone, plan, around.probe) for zone in plan.zones}
    edges: list[Edge] = []
    for zone in plan.zones:
        tone: Tone = "strong" if zone.id == plan.chosen else "plain"
        edges += outline(zone.rect, [z.rect for z in _later(plan, zone)], tone)
    drawn = _being_drawn(state)
    if drawn is not None:
        edges += outline(drawn, [], "strong")
    return Desk(
        summary=_summary(state),
        card=_card(state, around, None if one is None else fits[one.id]),
        edges=tuple(edges),
        handles=() if one is None or state.drag is not None else _handles(one, state.grip_reach),
        rings=tuple(
            Ring(z.probe_at_px, around.probe.radii_px, "strong" if z.id == plan.chosen else "soft") for z in plan.zones
        ),
        labels=_labels(state, fits, drawn, around.probe),
        backdrop=around.backdrop if state.trace else None,
        room=state.room,
    )


def clear_of(state: Editor) -> Editor:
    """Move the card of words out of the way of the zone under the hand, when it lies in it."""
    taken = _being_drawn(state) or (None if state.plan.one is None else state.plan.one.rect)
    if taken is None or state.pinned or not meet(_card_box(state.corner, state), taken):
        return state
    return replace(state, corner=min(CORNERS, key=lambda corner: _shared(_card_box(corner, state), taken)))


def _card_box(corner: str, state: Editor) -> Rect:
    w, h = (round(size * share) for size, share in zip(state.panel, CARD_SHARE, strict=True))
    x = 0 if corner.endswith("left") else state.panel[0] - w
    y = 0 if corner.startswith("top") else state.panel[1] - h
    return Rect(x, y, w, h)


def _shared(one: Rect, other: Rect) -> int:
    across = min(one.right, other.right) - max(one.x, other.x)
    down = min(one.bottom, other.bottom) - max(one.y, other.y)
    return max(0, across) * max(0, down)


def _later(plan: Plan, zone: Drawn) -> tuple[Drawn, ...]:
    return plan.zones[plan.zones.index(zone) + 1 :]


def outline(rect: Rect, over: Sequence[Rect], tone: Tone) -> list[Edge]:
    """Return a rectangle's four edges, dotted and soft where others lie over them."""
    edges: list[Edge] = []
    for flat, at in ((True, rect.y), (True, rect.bottom - 1), (False, rect.x), (False, rect.right - 1)):
        start, end = (rect.x, rect.right) if flat else (rect.y, rect.bottom)
        for low, high, hidden in _parts(start, end, at, flat, over):
            ends = ((low, at), (high, at)) if flat else ((at, low), (at, high))
            edges.append(Edge(*ends, "soft" if hidden and tone == "plain" else tone, dotted=hidden))
    return edges


def _parts(start: int, end: int, at: int, flat: bool, over: Sequence[Rect]) -> list[tuple[int, int, bool]]:
    spans = []
    for r in over:
        low, high, first, last = (r.x, r.right, r.y, r.bottom) if flat else (r.y, r.bottom, r.x, r.right)
        if first <= at < last and low < end and high > start:
            spans.append((max(low, start), min(high, end)))
    cuts = sorted({start, end, *(cut for span in spans for cut in span)})
    return [(low, high, any(span[0] <= low and high <= span[1] for span in spans)) for low, high in pairwise(cuts)]


def _being_drawn(state: Editor) -> Rect | None:
    drag = state.drag
    if drag is None or drag.what != "draw" or drag.is_click:
        return None
    return spanned(drag.start, drag.now, state.panel)


def _handles(zone: Drawn, reach: int) -> tuple[Rect, ...]:
    side = max(3, reach // 2)
    return tuple(Rect(x - side // 2, y - side // 2, side, side) for x, y in grips_of(zone.rect).values())


def _labels(state: Editor, fits: dict[int, Fit], drawn: Rect | None, probe: Probe) -> tuple[Label, ...]:
    labels = []
    referred = {zone.reference for zone in state.plan.zones}
    for zone in state.plan.zones:
        parts = [zone.name]
        if zone.id in referred:
            parts.append("reference")
        if not fits[zone.id].is_good:
            parts.append(fits[zone.id].word)
        tone: Tone = "strong" if zone.id == state.plan.chosen else "plain"
        labels.append(Label((zone.rect.x, zone.rect.y), ", ".join(parts), tone))
    if drawn is not None:
        labels.append(Label((drawn.x, drawn.y), size_told(drawn, probe), "strong"))
    return tuple(labels)


def size_told(rect: Rect, probe: Probe) -> str:
    """Say a size in pixels and in millimetres."""
    w, h = probe.mm(rect)
    return f"{rect.w} x {rect.h} px, {w:.1f} x {h:.1f} mm"


def _summary(state: Editor) -> str:
    one = state.plan.one
    drawn = _being_drawn(state)
    doing = f" drawing {drawn.x},{drawn.y} {drawn.w}x{drawn.h}" if drawn is not None else ""
    naming = "" if state.entry is None else f" name={state.entry.typed}"
    count = f"{counted(len(state.plan.zones), 'zone')}{' changed' if state.is_changed else ''}"
    if one is None:
        return f"{count}{doing}"
    r = one.rect
    drag = "" if state.drag is None else " held"
    return f"{count} {one.name} {r.x},{r.y} {r.w}x{r.h} {state.mode}{naming}{doing}{drag}"


def _card(state: Editor, around: Surroundings, fit: Fit | None) -> SideCard:
    words: list[tuple[str, Tone]] = []
    one = state.plan.one
    if fit is not None:
        words.append((fit.sentence, "plain" if fit.is_good else "warning"))
    if around.probe.assumed and one is None:
        words.append((_assumed(around.probe), "plain"))
    if state.entry is not None and (fault := entry_fault(state)):
        words.append((f"{fault}.", "warning"))
    if state.said:
        words.append((state.said, "strong"))
    if one is None:
        title = f"Zones of {around.panel_name}"
        rows: tuple[tuple[str, str], ...] = (("zones", str(len(state.plan.zones))),)
    else:
        title, rows = one.name, _rows(state, one, around.probe)
    entry = None if state.entry is None else state.entry.typed
    return SideCard(title, rows, entry, tuple(words), _keys(state), state.corner)


def _assumed(probe: Probe) -> str:
    return f"The probe's aperture is not known; {probe.aperture_mm:g} mm is assumed. State aperture_mm in probe.toml."


def _rows(state: Editor, one: Drawn, probe: Probe) -> tuple[tuple[str, str], ...]:
    over, under = over_and_under(state.plan, one)
    reference = state.plan.by_id(one.reference)
    against = [zone.name for zone in state.plan.zones if zone.reference == one.id]
    order = f"{state.plan.at() + 1} of {len(state.plan.zones)}"
    x, y = one.probe_at_px
    w, h = probe.mm(one.rect)
    rows = [
        ("from", f"{one.rect.x}, {one.rect.y} px"),
        ("size", f"{one.rect.w} x {one.rect.h} px"),
        ("", f"{w:.1f} x {h:.1f} mm"),
        ("probe", f"{x:g}, {y:g} px{' (middle)' if one.probe_px is None else ''}"),
        ("aperture", probe.told),
    ]
    if reference is not None:
        rows.append(("compared", f"with {reference.name}"))
    elif against:
        rows.append(("reference", f"of {', '.join(against)}"))
    else:
        rows.append(("compared", "with nothing"))
    rows.append(("order", order))
    if over:
        rows.append(("lies over", ", ".join(over)))
    if under:
        rows.append(("lies under", ", ".join(under)))
    return tuple(rows)


def _keys(state: Editor) -> tuple[tuple[str, str], ...]:
    if state.entry is not None:
        return (("Return", "take the name"), ("Escape", "keep the old one"))
    if state.armed:
        return (("drag", "draws a new zone"), ("Return", "one in the middle"), ("Escape", "none"))
    if state.plan.one is None:
        keys = [("drag", "draw a zone"), ("click, Tab", "choose one")]
    else:
        keys = [
            ("arrows", f"{ARROWS_DO[state.mode]}; Shift: 10 px"),
            ("space", f"arrows: {ARROWS_DO[MODES[state.mode]]}"),
            ("Return", "name"),
            ("r", "compare with the next; Shift: all with this"),
            ("n", "new zone, inside this one too"),
            ("Delete", "take away"),
        ]
    if state.is_changed or state.past or state.future:
        keys += [("u", "take back; Shift: make again"), ("s", "save")]
    keys.append(("l", "lines for a lit room" if state.room == "dark" else "lines for a dark room"))
    return (*keys, ("h", "all keys"), ("Escape", "leave"))
