"""Pictures that guide the hand to the target: dim, and beside the probe's housing, which hides what it lies on."""

from __future__ import annotations

from dataclasses import replace

from panelwear.panel.placement import PlacementFound, placement_from_json
from panelwear.run.state import RunState
from patterns import build
from patterns.arrows import arrow_rects
from patterns.frame import Fill, Frame
from sequences.model import Place

ARROW_CODES = (44.0, 38.0, 30.0)
"""The warm tint of the cards (linear 1 : 0.74 : 0.42), dimmer than the target's lines, which are thin."""
LEAST_MM = 0.5
"""A direction that is right within this gets no arrow."""


def before(state: RunState, place: str, visit: int | None = None) -> PlacementFound | None:
    """Return the newest placement stored for a place: of this session, else of the earlier ones.

    Args:
        state: The session.
        place: Its name.
        visit: One of this session that does not count.
    """
    of_session = {key: found for key, found in state.facts.get("placements", {}).items() if key != str(visit)}
    for stored in (of_session, *reversed(state.earlier_placements)):
        for record in reversed(list(stored.values())):
            if record["place"] == place:
                return placement_from_json(record)
    return None


def before_mm(state: RunState, place: Place) -> tuple[float, float] | None:
    """Return where the probe sat last time, in millimetres from the place (right and down), where that is known."""
    found = before(state, place.name)
    if found is None:
        return None
    pitch = state.panel.pitch_mm
    return (found.centre_mm[0] - place.at_px[0] * pitch[0], found.centre_mm[1] - place.at_px[1] * pitch[1])


def _housing_mm(state: RunState) -> float:
    return max(20.0, 3 * state.probe_settings.aperture_mm)


def target_frame(state: RunState, place: Place) -> Frame:
    """Build the target at a place; a hollow square and an arrow show where the probe sat last time."""
    return build(
        "target",
        state.width_px,
        state.height_px,
        codes=(70.0, 70.0, 70.0),
        at_px=place.at_px,
        pitch_mm=state.panel.pitch_mm,
        size_mm=_housing_mm(state),
        before_mm=before_mm(state, place),
    )


def arrows_frame(state: RunState, place: Place, move_mm: tuple[float, float]) -> Frame:
    """Build the target with one arrow a direction the probe is to be moved in.

    Args:
        state: The session.
        place: Where it is to sit.
        move_mm: How far to move it, to the right and down.
    """
    target = target_frame(state, place)
    per_mm = (1 / state.panel.pitch_mm[0], 1 / state.panel.pitch_mm[1])
    clear_mm = 1.1 * _housing_mm(state)
    rects = []
    for axis, far_mm in zip(("x", "y"), move_mm, strict=True):
        if abs(far_mm) >= LEAST_MM:
            way = 1 if far_mm > 0 else -1
            size = (state.width_px, state.height_px)
            rects += arrow_rects(size, place.at_px, axis, way, per_mm=per_mm, clear_mm=clear_mm)
    fills = (*target.fills, *(Fill(rect, ARROW_CODES) for rect in rects))
    lit = target.lit_share + sum(rect.area for rect in rects) / (state.width_px * state.height_px)
    return replace(target, fills=fills, lit_share=min(1.0, lit))
