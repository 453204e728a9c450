"""A shoot on the screen: a dim page, the field alone until its frames are taken, the next page; kept as it goes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime

from panelwear.camera.card_of import card_of
from panelwear.camera.shoot_pages import (
    BEFORE,
    KEYS,
    NEW,
    SHOW,
    SKIP,
    Noticed,
    before_of,
    begin_page,
    keys_page,
    last_page,
    rest_page,
    shot_page,
)
from panelwear.camera.shoot_plan import ShootPlan, frame_of
from panelwear.camera.shots import ShootLabel
from panelwear.errors import UsageError
from panelwear.folder.checkpoint import Checkpoint, stamp
from panelwear.folder.shoots import (
    SHOOTS,
    ShootRecord,
    ShotRecord,
    Stood,
    keep_list,
    next_name,
    save_shoot,
    unfinished_shoot,
)
from panelwear.run.messages import Hand
from panelwear.run.orders import Order, both
from panelwear.run.pause import Paused, keep_paused
from panelwear.run.prompting import await_hand, prompted
from panelwear.run.standing import disturbance
from panelwear.screen.bench import Bench
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.operator import Question
from panelwear.screen.page import Page
from panelwear.telling.words import counted
from patterns import PatternError
from patterns.frame import Frame
from sequences.exposure import time_label
from sequences.shoots import BETWEEN_FRAMES_S, HAND_S

REMOTE = {"page-down": SHOW, "left": BEFORE, "page-up": BEFORE}
"""Keys of a presenter's remote, and the arrow beside them, on a page."""
PATIENCE = 3.0
LEAST_PATIENCE_S = 120.0
"""A field nobody ends goes dark after three times as long as its frames take, and after two minutes at the earliest."""


class _TakenError(Exception):
    """A row of a page was taken by a key of its own."""

    def __init__(self, row: str) -> None:
        super().__init__(row)
        self.row = row


@dataclass(frozen=True, slots=True)
class ShootJob:
    """What a shoot is given."""

    checkpoint: Checkpoint
    plan: ShootPlan
    unattended: bool = False
    """Nobody is there: fields stand as long as their frames take, for whoever watches."""


@dataclass(slots=True)
class Shooting:
    """Runs a shoot on a bench; every shot is on the disk before the next comes."""

    bench: Bench
    job: ShootJob
    record: ShootRecord = field(init=False)
    begun: bool = False
    """Whether anything of it is on the disk yet."""
    _taken_told: str = "nothing taken yet"
    _noticed: Noticed | None = None
    _frame: Frame | None = None
    """The field that stands alone just now, to be put up again after a pause."""

    def run(self) -> ShootRecord:
        """Begin, or go on with what is missing, until all is taken.

        Raises:
            Stopped: Escape; what was taken is stored.
            UsageError: the shoot was begun on another screen.
        """
        self.record = self._begun()
        try:
            self._go_through()
        finally:
            whole = self.record.missing is None
            self._keep(replace(self.record, status="done" if whole else "stopped", ended_utc=self._now()))
        return self.record

    def _go_through(self) -> None:
        at = self._next()
        while True:
            if at == len(self.record.shots):
                where = f"{self.job.checkpoint.name}/{SHOOTS}"
                noticed, self._noticed = self._noticed, None
                if self._choose(last_page(self.record, noticed, where)) != BEFORE:
                    return
                at = before_of(at, noticed) or 0
            at = self._one(at)

    def _one(self, at: int) -> int:
        """Ask for a shot and hold it; returns which comes next."""
        shot = self.record.shots[at]
        from_utc = self._now()
        noticed, self._noticed = self._noticed, None
        row = self._choose(shot_page(self.record, at, noticed))
        if row == BEFORE:
            return before_of(at, noticed) or 0
        if row == SKIP or (self.job.unattended and shot.kind == "even-surface"):
            self._put(at, replace(shot, skipped=True))
            return self._next()
        if shot.kind == "even-surface":
            return self._taken(at, shot, Hand(back=False, from_utc=from_utc, to_utc=self._now()), "")
        return self._held(at, shot)

    def _held(self, at: int, shot: ShotRecord) -> int:
        """Hold one field alone on the screen."""
        screen = self.bench.screen
        self._frame = self.build(shot)
        self.bench.operator.tell(f"photograph: {shot.name}")
        shown = screen.show(self._frame)
        disturbing: list[ScreenEvent] = []
        hand = await_hand(self.bench, self._seconds(shot), self._obey, watch=_disturbances(disturbing))
        proof = screen.prove(None)
        self._frame = None
        if hand.back:
            return max(0, at - 1)
        if hand.by_itself and not self.job.unattended:
            why = f"{shot.name} went dark by itself: nobody ended it. It does not count; show it once more."
            self._noticed = Noticed(at, shot.name, 0.0, why)
            return at
        why = "" if proof.holds else proof.why
        if disturbing and not why:
            why = disturbance(disturbing[0])
        return self._taken(at, replace(shot, frame_sha256=shown.frame_sha256), hand, why)

    def _seconds(self, shot: ShotRecord) -> float:
        frames_s = shot.frames * ((shot.exposure_s or 0.0) + BETWEEN_FRAMES_S)
        return frames_s + HAND_S if self.job.unattended else max(PATIENCE * frames_s, LEAST_PATIENCE_S)

    def _taken(self, at: int, shot: ShotRecord, hand: Hand, disturbed: str) -> int:
        """Keep when a shot stood, and what speaks against it."""
        stood_s = (datetime.fromisoformat(hand.to_utc) - datetime.fromisoformat(hand.from_utc)).total_seconds()
        fault = fault_of(shot, stood_s, disturbed)
        # Where nobody is there, nobody can take it once more.
        self._noticed = None if self.job.unattended else Noticed(at, shot.name, stood_s, fault)
        earlier = (Stood(shot.from_utc, shot.to_utc),) if shot.from_utc and shot.to_utc else ()
        self._put(
            at,
            replace(
                shot,
                from_utc=hand.from_utc,
                to_utc=hand.to_utc,
                before=(*shot.before, *earlier),
                skipped=False,
                note=fault or None,
            ),
        )
        return self._next()

    def _next(self) -> int:
        """Return the first shot that is missing; behind the last where none is."""
        missing = self.record.missing
        return len(self.record.shots) if missing is None else missing

    def _put(self, at: int, shot: ShotRecord) -> None:
        shots = self.record.shots
        self._keep(replace(self.record, shots=(*shots[:at], shot, *shots[at + 1 :])))

    def _keep(self, record: ShootRecord) -> None:
        self.record, self.begun = record, True
        taken = sum(one.is_done for one in record.shots)
        self._taken_told = f"{taken} of {len(record.shots)} photographs taken"
        save_shoot(self.job.checkpoint.directory, record)

    def _now(self) -> str:
        return stamp(self.bench.clock.utc())

    def _begun(self) -> ShootRecord:
        """Return the shoot that is gone on with, or a new one."""
        rest = unfinished_shoot(self.job.checkpoint.directory)
        if rest is not None and self._choose(rest_page(rest)) != NEW:
            facts = self.bench.screen.facts
            size = (rest.screen.get("width_px"), rest.screen.get("height_px"))
            if size != (facts.width_px, facts.height_px):
                raise UsageError(
                    f"{rest.shoot} was begun on a screen of {size[0]} x {size[1]} pixels, this one has {facts.width_px}"
                    f" x {facts.height_px}; begin a new shoot, or choose the monitor with --screen N"
                )
            self._keep(replace(rest, status="running", ended_utc=None))
            return self.record
        checkpoint, plan = self.job.checkpoint, self.job.plan
        self._choose(begin_page(plan, checkpoint.name))
        name = next_name(checkpoint.directory)
        begun = plan.record(name, self._now(), asdict(self.bench.screen.facts))
        self._refuse_unfit(begun)
        keep_list(checkpoint.directory, name, plan.source)
        self._keep(begun)
        return self.record

    def _refuse_unfit(self, begun: ShootRecord) -> None:
        """Build every pattern once, before anything is kept: a screen may be too small for dots or QR code."""
        self.record = begun
        try:
            for shot in {one.kind: one for one in begun.shots}.values():
                self.build(shot)
        except PatternError as error:
            raise UsageError(f"{begun.list_name}: {error}") from error

    def build(self, shot: ShotRecord) -> Frame:
        """Build what stands on the screen for a shot."""
        facts = self.bench.screen.facts
        size = (facts.width_px, facts.height_px)
        if shot.kind != "title-card":
            return frame_of(shot, size)
        checkpoint, panel = self.job.checkpoint, self.job.plan.panel
        names = tuple(one.name for one in self.record.shots[1:])
        label = ShootLabel(
            self.record.panel or panel.directory.resolve().name, checkpoint.name, self.record.shoot, names
        )
        return card_of(self.record, label, panel.name, checkpoint.use, size)

    def _choose(self, page: Page) -> str:
        """Put a page up until a row of it is taken, by a key of a presenter's remote too."""
        choices = tuple(item.id for item in page.items)
        asked = Question("shot", page.title, page.chosen, choices, page=page)

        def by_remote(events: tuple[ScreenEvent, ...]) -> None:
            for event in events:
                row = REMOTE.get(event.key, "") if event.kind == "key" else ""
                if row in choices:
                    raise _TakenError(row)

        try:
            return prompted(
                lambda orders: self.bench.operator.ask(replace(asked, watch=both(orders, by_remote))), self._obey
            )
        except _TakenError as taken:
            return taken.row

    def _obey(self, order: Order) -> None:
        """Pause or show the keys, and put the field up again where one stood."""
        if order == "keys":
            self.bench.operator.read_page(keys_page())
        elif order == "pause":
            keep_paused(self.bench, Paused(self._taken_told, kept="what was taken is kept", keys=KEYS))
        if self._frame is not None:
            self.bench.screen.show(self._frame)


def _disturbances(found: list[ScreenEvent]) -> Callable[[tuple[ScreenEvent, ...]], None]:
    def watch(events: tuple[ScreenEvent, ...]) -> None:
        found.extend(event for event in events if event.disturbs)

    return watch


def fault_of(shot: ShotRecord, stood_s: float, disturbed: str) -> str:
    """Say why a shot should be taken once more; empty where nothing speaks for it."""
    if disturbed:
        return f"{disturbed} while {shot.name} stood: what the camera saw may not be the field. Once more?"
    needed_s = shot.frames * (shot.exposure_s or 0.0)
    if stood_s < 0.98 * needed_s:  # what stands on a camera is rounded
        last = f"last {math.floor(needed_s)} s" if needed_s >= 2 else f"last {needed_s:.1f} s"
        frames = f"{counted(shot.frames, 'frame')} of {time_label(shot.exposure_s or 0.0)} s {last}"
        return f"{shot.name} stood for {stood_s:.1f} s; {frames}. Once more, unless your exposures are shorter?"
    return ""
