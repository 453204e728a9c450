"""After a placement: find with the screen where the probe sits, and compare with last time."""

from __future__ import annotations

import math
from collections.abc import Generator
from typing import TYPE_CHECKING, Any

from panelwear.panel.resolve import Resolved
from panelwear.run.messages import Ask, Keep, Message, MoveProbe, Show, Tell, Wait
from panelwear.run.state import RunState
from panelwear.run.steps.target import Target, one_reading
from panelwear.screen.contract import Shown
from panelwear.screen.operator import Question
from patterns import build
from patterns.frame import Frame
from sequences.model import Level, Patch, Place, PutProbe

if TYPE_CHECKING:
    from panelwear.panel.edges import Look
    from panelwear.panel.placement import NotFound, Offset, PlacementFound

LOCATE = "locate"
SETTLE_S = 0.6
GENTLE_S = 0.5
"""How long a frame that only leads to the next one stands."""


def find_probe(step: PutProbe, state: RunState) -> Generator[Message, Any, None]:
    """Search, store what was found; where it sits off, show its old place and let the person move it once."""
    found = yield from _search(step, state)
    if found is None:
        return
    off = _offset(state, step.place.name, found)
    if off is not None:
        yield Tell(off.sentence)
        if off.distance_mm > max(0.5, 4 * off.u_mm) and not state.unattended:
            choice = yield Ask(
                Question("probe_off", f"{off.sentence} Move it, or leave it?", "move", ("move", "leave"))
            )
            if choice == "move":
                yield from _show_old_place(step, state)
                found = (yield from _search(step, state)) or found
                off = _offset(state, step.place.name, found)
    kept = {**state.facts.get("placements", {})}
    kept[str(step.visit)] = {**found.to_json(), "offset_mm": None if off is None else [off.dx_mm, off.dy_mm]}
    yield Keep("placements", kept)


def _search(step: PutProbe, state: RunState) -> Generator[Message, Any, PlacementFound | None]:
    from panelwear.panel.edges import edge_codes
    from panelwear.panel.locate import Seat, locate
    from panelwear.panel.placement import PlacementFound

    bright, dark = edge_codes(state.resolver.response_for(_patch(step.place, 0.0, "edge"))[0])
    sides = ((bright,) * 3, (dark,) * 3)
    search = locate(Seat(step.place.name, (state.width_px, state.height_px), state.panel.pitch_mm, sides))
    look = next(search)
    while True:
        luminance = yield from _read(step, state, look, bright)
        try:
            look = search.send(luminance)
        except StopIteration as end:
            found: PlacementFound | NotFound = end.value
            break
    yield Tell(found.sentence)
    if not isinstance(found, PlacementFound):
        return None
    for note in found.notes:
        yield Tell(note)
    return found


def _patch(place: Place, code: float, geometry: str) -> Patch:
    return Patch(LOCATE, place, "grey", Level("code", code), geometry, LOCATE, "edge")


def _read(step: PutProbe, state: RunState, look: Look, code: float) -> Generator[Message, Any, float]:
    shown: Shown = yield Show(look.frame)
    if not look.read:
        yield Wait(GENTLE_S)
        return math.nan
    yield Wait(SETTLE_S)
    target = Target(_patch(step.place, code, look.label), Resolved((code,) * 3, None, "code"))
    row = yield from one_reading(state, target, shown, 1)
    return math.nan if row is None or row.Y_cd_m2 is None else row.Y_cd_m2


def _before(state: RunState, place: str) -> PlacementFound | None:
    """Return the newest placement stored for a place: of this session, else of the earlier ones."""
    from panelwear.panel.placement import placement_from_json

    for stored in (state.facts.get("placements", {}), *reversed(state.earlier_placements)):
        for record in reversed(list(stored.values())):
            if record["place"] == place:
                return placement_from_json(record)
    return None


def _offset(state: RunState, place: str, now: PlacementFound) -> Offset | None:
    from panelwear.panel.placement import offset

    before = _before(state, place)
    return None if before is None else offset(now, before)


def before_mm(state: RunState, place: Place) -> tuple[float, float] | None:
    """Return where the probe sat last time, in millimetres from the place (right and down), where that is known."""
    before = _before(state, place.name)
    if before is None:
        return None
    pitch = state.panel.pitch_mm
    return (before.centre_mm[0] - place.at_px[0] * pitch[0], before.centre_mm[1] - place.at_px[1] * pitch[1])


def target_frame(state: RunState, place: Place) -> Frame:
    """Build the target at a place; a hollow square and an arrow show where the probe sat last time."""
    return build(
        "target",
        state.width_px,
        state.height_px,
        codes=(70.0, 70.0, 70.0),
        at_px=place.at_px,
        pitch_mm=state.panel.pitch_mm,
        size_mm=max(20.0, 3 * state.probe_settings.aperture_mm),
        before_mm=before_mm(state, place),
    )


def _show_old_place(step: PutProbe, state: RunState) -> Generator[Message, Any, None]:
    yield Show(target_frame(state, step.place))
    yield MoveProbe(step.place, "put the probe on the hollow square: there it sat last time")
