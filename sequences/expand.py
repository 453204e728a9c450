"""From a sequence file to numbered steps: plain data, the same for the same file, panel and seed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from sequences import geometry, places, shoots
from sequences.errors import SequenceError
from sequences.estimate import mean_code
from sequences.geometry import FULL, PatchGeometry
from sequences.groups import nominal_codes, patches_at, reads_of
from sequences.keys import PairKey
from sequences.model import (
    AskFacts,
    CloseLook,
    Hold,
    Level,
    PanelFacts,
    Patch,
    Place,
    PutProbe,
    Read,
    Room,
    Shoot,
    Step,
    WarmUp,
)
from sequences.schema import (
    AskStep,
    CloseLookStep,
    HoldStep,
    PlaceStep,
    ReadStep,
    Reference,
    RoomStep,
    Sequence,
    ShootStep,
    StepSpec,
    WarmUpStep,
)
from sequences.visits import Visit, reference_patch, visits, with_reference


def expand(sequence: Sequence, panel: PanelFacts, seed: int) -> tuple[Step, ...]:
    """Return the steps of a sequence on a panel.

    Raises:
        SequenceError: when a patch or a place does not fit the panel, or nothing is left to do.
    """
    return expand_noted(sequence, panel, seed)[0]


def expand_noted(sequence: Sequence, panel: PanelFacts, seed: int) -> tuple[tuple[Step, ...], tuple[str, ...]]:
    """Return the steps, and one sentence for each thing of the file that this panel makes the program leave out."""
    _check_panel(panel)
    maker = _Maker(sequence, panel, seed)
    for spec in sequence.steps:
        maker.add(spec)
    if not any(isinstance(step, Read | Hold | Shoot) for step in maker.steps):
        why = maker.notes or ["it has no read, no hold and no shoot step"]
        raise SequenceError(tuple(f"{sequence.name}: nothing is left to show: {note}" for note in why))
    _check_fit(maker.steps, panel)
    grey = mean_code(maker.steps, panel)
    numbered = tuple(
        replace(step, number=number, mean_code=grey) if isinstance(step, WarmUp) else replace(step, number=number)
        for number, step in enumerate(maker.steps, start=1)
    )
    return numbered, tuple(dict.fromkeys(maker.notes))


def restart_step(steps: tuple[Step, ...], number: int) -> int:
    """Return the number of the step to go back to when step ``number`` was not finished.

    Neither a visit nor a quadruple Z R R Z is ever cut: the answer is the first step of the earliest visit that must be
    read again, or ``number`` itself outside visits.
    """
    found = next((step for step in steps if step.number == number), None)
    if not isinstance(found, Read | PutProbe):
        return number
    first = found.visit
    spans: dict[str, list[int]] = {}
    for step in steps:
        if isinstance(step, Read) and (seat := PairKey.parse(step.pair)):
            spans.setdefault(seat.zone, []).append(step.visit)
    while cut := [min(at) for at in spans.values() if min(at) < first <= max(at)]:
        first = min(cut)
    return min(step.number for step in steps if isinstance(step, Read | PutProbe) and step.visit == first)


@dataclass(slots=True)
class _Maker:
    sequence: Sequence
    panel: PanelFacts
    seed: int
    steps: list[Step] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    here: Place | None = None
    """Where the probe sits; ``None`` when it is in the hand."""
    visit: int = 0
    spec: int = 0
    held: int = 0

    def add(self, spec: StepSpec) -> None:
        self.spec += 1
        match spec:
            case AskStep():
                self.steps.append(AskFacts(0, spec.topics))
            case PlaceStep():
                self._put(places.named(spec.at, self.panel))
            case WarmUpStep():
                self._warm_up(spec)
            case RoomStep():
                self._room(spec)
            case ReadStep():
                self._read(spec)
            case HoldStep():
                self._hold(spec)
            case ShootStep():
                wanted = shoots.source_of(spec.list_name)[1]
                self.steps.append(shoots.as_step(spec.list_name, wanted, self.panel, poses=spec.poses))
            case CloseLookStep():
                self.steps.append(CloseLook(0))

    def _put(self, place: Place) -> Place:
        self.visit += 1
        self.here = place
        self.steps.append(PutProbe(0, self.visit, place))
        return place

    def _seated(self) -> Place:
        return self.here or self._put(places.centre(self.panel))

    def _warm_up(self, spec: WarmUpStep) -> None:
        patch = None
        if spec.read:
            reference = self.sequence.reference or Reference()
            patch = reference_patch(reference, self._seated(), self.sequence, self.panel)
        self.steps.append(WarmUp(0, spec.minutes, spec.max_minutes, 0.0, patch))

    def _room(self, spec: RoomStep) -> None:
        patch = Patch(
            group="room",
            place=self._seated(),
            hue="grey",
            level=Level("code", 0.0),
            geometry=FULL.label,
            purpose="room",
            pattern=FULL.pattern,
            settle_s=spec.settle_s,
            integration_s=self.sequence.dark.integration_s or self.sequence.reading.integration_s,
            reads=reads_of(spec.reads),
        )
        self.steps.append(Room(0, patch))
        self.here = None

    def _read(self, spec: ReadStep) -> None:
        here = self.here or places.centre(self.panel)
        planned, notes = visits(spec, here, self.sequence, self.panel, f"{self.seed}/{self.spec}")
        self.notes += notes
        for visit in planned:
            if visit.lift_first or visit.place != self.here:
                self._put(visit.place)
            self._read_visit(visit)

    def _read_visit(self, visit: Visit) -> None:
        reference = self.sequence.reference
        if reference is not None:
            patch = reference_patch(reference, visit.place, self.sequence, self.panel)
            visit = with_reference(visit, patch, reference.every)
        made = [Read(0, self.visit, patch, pair) for patch, pair in zip(visit.patches, visit.pairs, strict=True)]
        # a visit that goes on after its reference was just read need not read it again
        self.steps += made[1:] if self.steps and self.steps[-1] == made[0] else made

    def _hold(self, spec: HoldStep) -> None:
        centre = places.centre(self.panel)
        shown: list[Patch] = []
        for group in spec.patches:
            place = places.named(group.place, self.panel) if group.place else centre
            shown += patches_at(group, place, self.sequence, self.panel)
        if spec.title_card and shown:
            name = f"{self.held + 1:02d}-title-card" if spec.photo else ""
            self.held += bool(spec.photo)
            self.steps.append(Hold(0, shown[0], name, spec.seconds, title_card=True))
        for patch in shown:
            self.held += bool(spec.photo)
            name = f"{self.held:02d}-{patch.hue}-{patch.level.label}-{patch.geometry}" if spec.photo else ""
            self.steps.append(Hold(0, patch, name, spec.seconds))


def _check_panel(panel: PanelFacts) -> None:
    if min(panel.width_px, panel.height_px) < 1 or min(panel.active_area_mm) <= 0:
        raise SequenceError(("panel: its size in pixels and in millimetres must be above 0",))


def _check_fit(steps: list[Step], panel: PanelFacts) -> None:
    """Try every geometry once on this panel."""
    tried: set[tuple[object, ...]] = set()
    for step in steps:
        if not isinstance(step, Read | Hold):
            continue
        patch = step.patch
        mark = (patch.pattern, patch.parameters, patch.background)
        if mark in tried and "surround_mean_code" not in dict(patch.parameters):
            continue
        tried.add(mark)
        shown = PatchGeometry(patch.pattern, patch.geometry, patch.parameters, patch.background)
        geometry.fit(shown, nominal_codes(patch, panel), panel, patch.key)
