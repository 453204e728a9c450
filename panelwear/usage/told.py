"""All that is known of a panel's usage, put together once: what was told, the doses, what does not go together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from panelwear.errors import FileFault
from panelwear.folder.checkpoint import Checkpoint, Lost, survey
from panelwear.folder.hours import HoursOfUse
from panelwear.folder.odd_start import begun_on
from panelwear.folder.panel import Panel
from panelwear.panel.assumed import assumed_response
from panelwear.panel.response import MEASURED, Response, response_from_json
from panelwear.usage.amounts import Amount
from panelwear.usage.course import Course, Segment, course_of, hours_between, up_to_each
from panelwear.usage.doses import Dose, doses_of
from panelwear.usage.files import load_usage
from panelwear.usage.maps import load_maps, map_faults
from panelwear.usage.rates import Panelled, shown, tells_white
from panelwear.usage.records import Usage, misfits
from panelwear.usage.stretches import Standing, day_number, laid

SLACK = 0.1
"""Hours told may differ from hours counted by this share before it is said: a person tells round numbers."""

STANDS_IN = "what was told of the nearest day before, else of the first, stands"


@dataclass(frozen=True, slots=True)
class Begun:
    """One checkpoint, as far as usage goes."""

    name: str
    date: str
    use: HoursOfUse


@dataclass(frozen=True, slots=True)
class Between:
    """Hours of use between two checkpoints, as counted there and as told of usage."""

    before: Standing
    after: Standing
    counted: Amount
    told: Amount | None
    """``None`` where it was not told for every day."""

    @property
    def disagrees(self) -> bool:
        """Whether the two cannot both hold, by more than a person's rounding."""
        if self.told is None:
            return False
        return self.told.low * (1 - SLACK) > self.counted.high or self.told.high * (1 + SLACK) < self.counted.low

    @property
    def sentence(self) -> str:
        """Say a disagreement; empty where there is none."""
        if not self.disagrees or self.told is None:
            return ""
        return (
            f"{self.before.name} to {self.after.name}: {self.counted.words('h')} of use were counted and "
            f"{_round(self.told).words('h')} told; the doses go by the hours counted; put right what is wrong"
        )


@dataclass(frozen=True, slots=True)
class UsageTold:
    """Usage of one panel."""

    usage: Usage
    checkpoints: tuple[Standing, ...]
    """Oldest first."""
    response: Response
    doses: tuple[Dose, ...]
    between: tuple[Between, ...]
    notes: tuple[str, ...]
    """What must be known beside the doses, a sentence each without its full stop."""
    faults: tuple[str, ...]
    """What names nothing of this panel or holds on no day of it, and what cannot be read: told, and left out."""


def usage_told(panel: Panel) -> UsageTold:
    """Read what is kept in a panel folder and work the doses out.

    Raises:
        FileFault: ``usage.toml`` has faults.
    """
    found, lost = survey(panel.directory)
    return told_of(panel, load_usage(panel.directory), begun_of(found), known_response(panel, found), lost)


def begun_of(found: Iterable[Checkpoint]) -> tuple[Begun, ...]:
    """Return what usage must know of checkpoints."""
    return tuple(Begun(one.name, begun_on(one.record), one.use) for one in found)


def days_of(checkpoints: Iterable[Standing], lost: Iterable[Lost] = ()) -> dict[str, str]:
    """Return the day on which each checkpoint was begun, by its name; empty where it cannot be read."""
    return {one.name: "" for one in lost} | {one.name: one.date for one in checkpoints}


def known_response(panel: Panel, found: Sequence[Checkpoint]) -> Response:
    """Return the newest response measured on a panel, else the one that ``panel.toml`` assumes."""
    for one in reversed(found):
        for session in reversed(one.record.get("sessions", [])):
            for stored in reversed(list(_responses(session))):
                try:
                    return response_from_json(stored)
                except ValueError:
                    continue  # 'panelwear check' tells it
    return assumed_response(panel.assumed_response)


def _responses(session: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    stored = session.get("response", {})
    if isinstance(stored, Mapping):
        yield from (one for one in stored.values() if isinstance(one, Mapping) and one.get("basis") == MEASURED)


def told_of(
    panel: Panel, usage: Usage, checkpoints: Sequence[Standing], response: Response, lost: Sequence[Lost] = ()
) -> UsageTold:
    """Put everything together; ``lost`` are checkpoints that cannot be read, so that no dose goes by them."""
    ordered = tuple(sorted(checkpoints, key=lambda c: (c.use.value, c.name)))
    maps = load_maps(usage, panel)
    doses = doses_of(usage, panel, response, ordered, maps)
    course = course_of(laid(usage, ordered))
    between = tuple(
        Between(a, b, Amount(max(b.use.low - a.use.high, 0.0), b.use.high - a.use.low), hours_between(course, a, b))
        for a, b in pairwise(ordered)
    )
    faults = (
        *(problem for one in lost for problem in one.problems),
        *misfits(usage, [z.name for z in panel.zones], days_of(ordered, lost)),
        *map_faults(usage, panel),
    )
    notes = (
        tuple(_notes(Panelled(panel.zones, response, maps), course, ordered, doses))
        if usage.stretches and ordered
        else ()
    )
    return UsageTold(usage, ordered, response, doses, between, notes, faults)


def _notes(known: Panelled, course: Course, ordered: Sequence[Standing], doses: Sequence[Dose]) -> Iterator[str]:
    response = known.response
    parts = [segment for each in up_to_each(course, ordered) for segment in each]
    yield from _brightness_notes(parts, response)
    uncovered = [
        after.name
        for before, after in pairwise(ordered)
        if not all(one.told for one in course.between(day_number(before.date), day_number(after.date)))
    ]
    if uncovered:
        yield f"not every day before {', '.join(uncovered)} was told of; {STANDS_IN} for the others"
    dosed = {one.zone for one in doses}
    if missing := [zone.name for zone in known.zones if zone.name not in dosed]:
        yield f"nothing was told of what {', '.join(missing)} showed, so there is no dose"
    if any(shown(segment.told, one.zone, known.maps) is None for segment in parts for one in doses):
        yield f"what some zones showed was not told throughout: {STANDS_IN} for the other days"
    if response.basis != MEASURED:
        yield f"no response was measured yet; drive levels are turned into light by the one assumed ({response.told})"


def _brightness_notes(parts: Sequence[Segment], response: Response) -> Iterator[str]:
    if not any(tells_white(one.layers) for one in parts):
        peak = response.curve("grey").peak_cd_m2
        yield f"no brightness was told: white at {peak:.4g} cd/m² stands for it ({response.told})"
    elif not all(tells_white(one.told) for one in parts):
        yield f"brightness was not told throughout: {STANDS_IN} for the other days"


def _round(amount: Amount) -> Amount:
    return Amount(float(f"{amount.low:.3g}"), float(f"{amount.high:.3g}"))


def refuse_misfits(usage: Usage, panel: Panel, checkpoints: Mapping[str, str]) -> None:
    """Raise ``FileFault`` for what names nothing of this panel, or holds on no day of it (``records.misfits``)."""
    said = misfits(usage, [zone.name for zone in panel.zones], checkpoints)
    if said:
        raise FileFault(said)
