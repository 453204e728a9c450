"""After a placement: find with the screen where the probe sits, and have it moved where it is off its target."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from panelwear.errors import ProbeFault, Stopped
from panelwear.panel.off_target import OffTarget, off_target
from panelwear.panel.placement import NotFound, Offset, PlacementFound, offset
from panelwear.panel.resolve import Resolved
from panelwear.run.light_due import EVEN
from panelwear.run.messages import Ask, Keep, Message, MoveProbe, Show, Tell, Wait
from panelwear.run.pages import Held, Way, held_question, stop_way
from panelwear.run.state import RunState
from panelwear.run.steps.guide import LEAST_MM, arrows_frame, before, target_frame
from panelwear.run.steps.target import Target, one_reading
from panelwear.screen.contract import Shown
from panelwear.screen.operator import Question
from patterns.frame import Frame
from sequences.model import Level, Patch, Place, PutProbe, Read
from sequences.place_names import place_name

if TYPE_CHECKING:
    from panelwear.panel.edges import Look

LOCATE = "locate"
SETTLE_S = 0.6
MOST_SEARCHES = 6
"""So often a placement is searched; then the run ends."""
END = stop_way("end")
LOST = (
    Way("search", "r", "Put it on the target, and look again", "the target comes on"),
    Way("go on", "g", "Go on as it is", "readings here are then flagged 'unexpected'"),
    END,
)
LOOK = "Is it off its place, fallen or covered? Lay it flat on the target, uncovered."
GENTLE_S = 0.5
"""How long a frame that only leads to the next one stands."""


def find_probe(step: PutProbe, state: RunState) -> Generator[Message, Any, None]:
    """Search, and have the probe moved until nothing is read beside its patch; store what was found.

    Raises:
        ProbeFault: it was not found, or sits beside its patch, and nobody is there to move it.
        Stopped: the person ends the run.
    """
    for _ in range(MOST_SEARCHES):
        found = yield from _search(step, state)
        if not isinstance(found, NotFound):
            off = _off_target(step, state, found)
            yield Tell(off.sentence)
            again = yield from _may_move(step, state, found, off)
        else:
            again = yield from _lost(step, state, found.sentence)
        if not again:
            break
    else:
        raise ProbeFault(
            f"the probe was not brought onto '{place_name(step.place.name)}' in {MOST_SEARCHES} searches; what was "
            "read is stored: look at the probe, then 'panelwear resume'"
        )
    if isinstance(found, NotFound):
        return
    # Figures compare with the visit before: where it sat earlier in this one says nothing of that.
    moved = _offset(before(state, step.place.name, step.visit), found)
    if moved is not None:
        yield Tell(moved.sentence)
    kept = {**state.facts.get("placements", {})}
    kept[str(step.visit)] = {**found.to_json(), "offset_mm": None if moved is None else [moved.dx_mm, moved.dy_mm]}
    yield Keep("placements", kept)


def _off_target(step: PutProbe, state: RunState, found: PlacementFound) -> OffTarget:
    """Compare with the target; every patch that is read in this visit has to hold the aperture."""
    mine = (other for other in state.steps if isinstance(other, Read) and other.visit == step.visit)
    frames = [state.frame_of(read.patch, (255.0, 255.0, 255.0)) for read in mine if read.patch.pattern in EVEN]
    size, pitch = (state.width_px, state.height_px), state.panel.pitch_mm
    return off_target(found, step.place.at_px, pitch, size, [frame.rect for frame in frames])


def _may_move(step: PutProbe, state: RunState, found: PlacementFound, off: OffTarget) -> Generator[Message, Any, bool]:
    """Have the person move a probe that is off; ``True``: search again."""
    if off.refused and state.unattended:
        raise ProbeFault(f"{off.sentence} Nothing is read there: put it right, then 'panelwear resume'")
    last = _offset(before(state, step.place.name), found)
    away_mm = math.hypot(off.right_mm, off.down_mm)
    # As it sat the last time is as good as on the target: figures compare with that.
    far = away_mm if last is None else min(away_mm, last.distance_mm)
    if not off.refused and (state.unattended or far <= max(LEAST_MM, 4 * max(found.u_centre_mm))):
        return False
    said, to = off.sentence, f"onto the target at '{place_name(step.place.name)}'"
    if last is not None and not off.refused:
        off, said, to = (
            OffTarget(-last.dx_mm, -last.dy_mm),
            last.sentence,
            "onto the hollow square: there it sat last time",
        )
    moved = Way("move", "r", "Move it, and look again", "the target comes on, with arrows that say which way")
    left = () if off.refused else (Way("leave", "l", "Leave it as it sits", "it is read there"),)
    put = _Put(arrows_frame(state, step.place, (off.right_mm, off.down_mm)), f"{off.move}, {to}")
    to_do = f"Move it {off.move}, {to}. Left, right, up and down are meant as you face the screen."
    title = f"The probe sits beside its place: {place_name(step.place.name)}"
    held = Held(title, said, to_do, state.safe, state.where)
    question = held_question("probe_off", held, (moved, *left, END))
    return (yield from _choose(step, state, question, put))


def _lost(step: PutProbe, state: RunState, said: str) -> Generator[Message, Any, bool]:
    """Ask about a probe that was not found; ``True``: search again. Going on flags all that is read there."""
    if state.unattended:
        raise ProbeFault(f"{said} Nothing is read there; 'panelwear resume' goes on")
    title = f"The probe was not found at its place: {place_name(step.place.name)}"
    question = held_question("probe_off", Held(title, said, LOOK, state.safe, state.where), LOST)
    again = yield from _choose(step, state, question, _Put(target_frame(state, step.place), "onto the target"))
    if not again:
        state.unsure_visit = step.visit
    return again


@dataclass(frozen=True, slots=True)
class _Put:
    """How the probe is to be put right."""

    frame: Frame
    """Shown meanwhile."""
    move: str


def _choose(step: PutProbe, state: RunState, question: Question, put: _Put) -> Generator[Message, Any, bool]:
    """Ask, with each choice and what it does; ``True`` once the person has moved the probe."""
    state.resettle = True
    answer = yield Ask(question)
    if answer == END.answer:
        raise Stopped("ended because the probe does not sit on its target; everything read is stored")
    if answer != question.default:
        return False
    yield Show(put.frame)
    yield MoveProbe(step.place, f"move the probe {put.move}, as you face the screen; it is then looked for again")
    return True


def _search(step: PutProbe, state: RunState) -> Generator[Message, Any, PlacementFound | NotFound]:
    from panelwear.panel.edges import edge_codes
    from panelwear.panel.locate import Seat, locate

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
    for note in found.notes if isinstance(found, PlacementFound) else ():
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


def _offset(last: PlacementFound | None, now: PlacementFound) -> Offset | None:
    return None if last is None else offset(now, last)
