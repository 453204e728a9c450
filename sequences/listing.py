"""A sequence as numbered steps: what ``--dry-run`` and ``panelwear sequences NAME`` print."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sequences.estimate import Effort
from sequences.model import (
    AskFacts,
    Hold,
    Patch,
    PutProbe,
    Read,
    Reads,
    Room,
    Shoot,
    Step,
    WarmUp,
)
from sequences.place_names import place_name, route, told_place

ASSUMED = (
    "Estimates assume a panel with a power response of 2.2 and the peak its file states (250 cd/m² when unknown), and "
    "0.7 s a reading (2 s below 1 cd/m²) unless the sequence states an integration time. Light dose: equivalent hours "
    "of a 120 cd/m² white with exponent 1.7, on the colour channel that gets most, mean of the whole panel; the centre "
    "gets more, and its own number is given with a single sequence."
)


def rows(steps: Iterable[Step]) -> Iterator[tuple[int, str]]:
    """Yield each step's number with the step in words; moves of the probe stand out."""
    steps = tuple(steps)
    places = route(steps)
    for step in steps:
        yield step.number, told(step, places)


def told(step: Step, places: tuple[str, ...] = ()) -> str:
    """Say one step in words; ``places``: the names of all places of the route, in its order."""
    match step:
        case AskFacts():
            said = f"ask: {', '.join(step.topics)}"
        case WarmUp():
            reading = f", reading {step.patch.key}" if step.patch else ""
            most = f", at most {step.max_minutes:g} min" if step.max_minutes > step.minutes else ""
            grey = f"on a moving grey at drive level {step.mean_code:g}"
            said = f"warm up for {step.minutes:g} min{most}, {grey}{reading}"
        case Room():
            said = "read the room's light on the black screen, then cover the probe or switch the screen off"
        case PutProbe():
            x, y = step.place.at_px
            where = told_place(step.place.name, places)
            key = "" if place_name(step.place.name) == step.place.name else f"{step.place.name}: "
            said = f"--- move the probe to {where} ({key}{x:g}, {y:g} px), visit {step.visit}"
        case Read():
            pair = f"  [{step.pair}]" if step.pair else ""
            said = f"read {step.patch.key}  {_how(step.patch)}{pair}"
        case Hold():
            said = _hold(step)
        case Shoot():
            more = ", in three more poses too" if step.poses else ""
            shots = _counted(len(step.shots), "shot", "shots")
            said = f"photograph the panel by the list {step.list_name}: title card, {shots}{more}"
        case _:
            said = "close look: go dark gently, say what was recorded"
    return said


def summary(plan: Effort) -> Iterator[str]:
    """Yield the estimate, a sentence each."""
    if plan.patches:
        yield (
            f"{_counted(plan.patches, 'patch', 'patches')}, about {_counted(plan.readings, 'reading', 'readings')}; "
            f"placements of the probe: {plan.placements} ({plan.placements_after_warm_up} after warm-up)"
        )
    if plan.holds:
        held = _counted(plan.holds, "field", "fields")
        yield f"{held} held for the eye or a camera, about {plan.hold_minutes:.0f} min"
    if plan.minutes:
        yield (
            f"about {plan.minutes:.1f} min of reading, {plan.placement_minutes:.1f} min of placing,"
            f" {plan.warm_up_minutes:g} min or more of warm-up"
        )
    over, centre = f"{plan.dose_h:.2f} h", f"{plan.dose_centre_h:.2f} h"
    yield f"light dose: as {over} of 120 cd/m² white over the panel, as {centre} at its centre"


def _counted(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _how(patch: Patch) -> str:
    extras = [f"after {patch.settle_s:g} s", _reads(patch.reads)]
    if patch.refine:
        extras.append("closed in on first")
    if patch.between_codes:
        extras.append("between codes")
    return ", ".join(extras)


def _reads(reads: Reads) -> str:
    if reads.until is None:
        return "once" if reads.n == 1 else f"{reads.n} times"
    floor = f" or {reads.until_cd_m2:g} cd/m²" if reads.until_cd_m2 else ""
    return f"{reads.n} to {reads.max} times, until ±{reads.until * 100:g} %{floor}"


def _hold(step: Hold) -> str:
    stands = f"for {step.seconds:g} s" if step.seconds is not None else "until a key"
    what = "the title card" if step.title_card else step.patch.key
    return f"hold {what} {stands}" + (f", photograph {step.photo}" if step.photo else "")
