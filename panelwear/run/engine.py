"""The engine: runs steps by doing what they ask, one message at a time; all effects are the bench's."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from functools import partial
from typing import Any

from panelwear.errors import ProbeFault
from panelwear.folder.checkpoint import stamp
from panelwear.readings.row import Row
from panelwear.run.again import ReadAgainError, corrected_by_typing, last_read, read_rows, replacing
from panelwear.run.interruption import warm_up_after
from panelwear.run.messages import (
    Append,
    Ask,
    AskAll,
    AwaitHand,
    Bell,
    GoOn,
    Journal,
    Keep,
    Measure,
    Measured,
    Message,
    MoveProbe,
    Photograph,
    ReadPage,
    Show,
    Tell,
    Wait,
)
from panelwear.run.meter_hold import MeterKeeper
from panelwear.run.orders import (
    TYPED,
    TYPED_LETTERS,
    AsideError,
    Order,
    PromptOrders,
    both,
    corrects,
    order_in,
    orders_of,
)
from panelwear.run.pause import keep_paused, note_pause, run_paused, show_keys
from panelwear.run.photographing import photographed
from panelwear.run.progress import Overlay, overlay_in
from panelwear.run.prompting import await_hand, prompted
from panelwear.run.rows import RowDraft, make_row
from panelwear.run.standing import UNLIT, around_probe, disturbance, prove, say_unseen, wait_until_proved
from panelwear.run.state import RunState
from panelwear.run.steps import begin
from panelwear.run.steps.find_probe import find_probe
from panelwear.run.telling import Teller
from panelwear.screen.bench import Bench
from panelwear.screen.contract import Card, ScreenEvent, Shown, far_corner
from panelwear.screen.operator import Question
from panelwear.screen.placing_page import PLACING
from panelwear.screen.waiting import happened, moments
from probe_io.errors import ProbeError
from probe_io.reading import Reading
from sequences.model import PutProbe, Read, Step

_REPAINTS = 3
"""How often a wait begins anew because of a repaint; a desktop that never rests must not stop a run."""


class Engine:
    """Runs the steps of one session and appends the rows."""

    def __init__(self, bench: Bench, state: RunState, journal: Journal) -> None:
        self.bench = bench
        self.state = state
        self.journal = journal
        self._step: Step | None = None
        self._next_row = 1
        self._teller = Teller(state, bench.operator)
        self._noted: set[Order] = set()
        """What was asked for while a reading was taken; done once it is stored."""
        self._shown: Shown | None = None
        self._card: Card | None = None
        """What came with the frame that is on."""
        self._aside_s = 0.0
        """Changes of the screen up to then lay away from the probe: they do not unsettle the patch."""
        self._meter = MeterKeeper(bench, state)
        self._stood_s = 0.0
        """How long the step lets the frame that is on settle."""

    def run(self, first_row: int) -> None:
        """Run all steps; the first new row gets number ``first_row``."""
        self._next_row = first_row
        for index, step in enumerate(self.state.steps):
            self._step = step
            self._teller.step(index)
            self._take_step(step)

    def _take_step(self, step: Step) -> None:
        """Run a step; from its beginning again as often as the person wants its patch read again."""
        while True:
            try:
                self._drive(begin(step, self.state))
                self.state.replacing = ()  # where nothing good was read again, what was read before stands
                return
            except ReadAgainError as again:
                self.state.replacing = again.rows
                self.bench.operator.tell(again.told)

    def _in_between(self, step: Step, replacing: tuple[int, ...] = ()) -> None:
        """Run another step in the middle of one; ``replacing`` are the rows it takes the place of."""
        kept, was_replacing = self._step, self.state.replacing
        self._step, self.state.replacing = step, replacing
        self._take_step(step)
        self._step, self.state.replacing = kept, was_replacing

    def _drive(self, step: Generator[Message, Any, None]) -> None:
        answer: Any = None
        try:
            while True:
                answer = self._do(step.send(answer))
        except StopIteration:
            return
        finally:
            step.close()

    def _do(self, message: Message) -> Any:  # noqa: PLR0911, PLR0912 - one line a kind of message
        bench = self.bench
        match message:
            case Show(frame=frame, fade_s=fade_s, card=card):
                self._meter.light_changes()
                self._shown, self._stood_s = bench.screen.show(frame, fade_s, card), 0.0
                self._card = card
                return self._shown
            case Wait(seconds=seconds):
                self._stood_s = seconds
                return self._wait(message)
            case Measure():
                return self._measure(message)
            case AwaitHand(seconds=seconds):
                return await_hand(bench, seconds, self._obey)
            case Photograph():
                return photographed(bench, self.state, message)
            case Append(draft=draft):
                return self._append(draft)
            case Ask(question=question):
                return self._ask(question)
            case AskAll(inquiry=inquiry):
                return bench.operator.ask_all(inquiry)
            case ReadPage(page=page):
                return bench.operator.read_page(page)
            case MoveProbe():
                return self._move_probe(message)
            case GoOn(text=text):
                return prompted(lambda watch: bench.operator.go_on(text, watch=watch), self._obey)
            case Tell(text=text):
                return bench.operator.tell(text)
            case Bell():
                return bench.operator.bell()
            case Keep(key=key, value=value):
                self.state.facts[key] = value
                self.state.checkpoint.session[key] = value
                return self.state.checkpoint.save()

    def _move_probe(self, move: MoveProbe) -> None:
        self._meter.light_changes()
        text = "\n".join(part for part in (move.text, self._teller.where) if part)
        put = partial(self.bench.operator.put_probe, move.place, text)
        prompted(lambda watch: put(watch=watch), self._obey, self._how_to_place)
        step, state = self._step, self.state
        if step is None or not (move.find and state.locate):
            return
        puts = [s for s in state.steps if isinstance(s, PutProbe) and s.place == move.place and s.number <= step.number]
        # Its readings are rows of the placement they belong to.
        self._step = PutProbe(puts[-1].number if puts else step.number, state.visit, move.place)
        self._drive(find_probe(self._step, state))
        self._step = step

    def _ask(self, question: Question) -> str:
        def put(watch: PromptOrders) -> str:
            own = orders_of(question)
            return self.bench.operator.ask(question if own is None else replace(question, watch=own))

        return prompted(put, self._obey)

    def _how_to_place(self) -> None:
        """Show how the probe is put on, and the target again."""
        self.bench.operator.read_page(PLACING)
        if self._shown is not None:
            self._shown = self.bench.screen.show(self._shown.frame)

    def _events(self) -> tuple[ScreenEvent, ...]:
        """Take what happened while nothing may come over the patch; orders are noted, but for the keys."""
        events = happened(self.bench.screen)
        self._noted |= {order_in(events)} & {"pause", "again"}
        return events

    def _obey(self, order: Order) -> None:
        """Do what was asked for, outside a reading, and put up again what was on."""
        if order == "keys":
            show_keys(self.bench, self._corner(), self._card, typed=self.state.typed)
            return
        shown, card, stood_s = self._shown, self._card, self._stood_s
        if order == "pause":
            self._pause()
        elif order == "again":
            self._read_again()
        elif order == "correct":
            self._correct()
        self._card, self._stood_s = card, stood_s
        if shown is not None:
            self._meter.light_changes()
            self._shown = self.bench.screen.show(shown.frame, None, card)

    def _wait(self, wait: Wait) -> None:
        """Let time pass; after a pause, or another patch in between, all of it again."""
        while order := self._waited(wait):
            self._obey(order)

    def _waited(self, wait: Wait) -> Order:
        """Wait once; returns what broke it off."""
        clock, screen = self.bench.clock, self.bench.screen
        if clock.fast:
            clock.sleep(wait.seconds)
            return order_in(happened(screen))
        end_s = clock.monotonic_s() + wait.seconds
        overlay = self._overlay_in(wait)
        if overlay is not None:
            screen.card(overlay.card)
        repaints, changed_s = 0, screen.changed_at_s

        def ends_s() -> float:  # a repaint puts it off
            return end_s

        order: Order = ""
        for events in moments(screen, clock, ends_s):
            order = order_in(events)
            if order:
                break
            if screen.changed_at_s > changed_s and repaints < _REPAINTS:
                repaints += 1
                end_s = clock.monotonic_s() + wait.seconds
            if overlay is not None and end_s - clock.monotonic_s() <= overlay.remove_s:
                screen.card(None)
                overlay = None
            changed_s = screen.changed_at_s
        if overlay is not None:
            screen.card(None)
        return order

    def _overlay_in(self, wait: Wait) -> Overlay | None:
        return overlay_in(wait.card, wait.seconds, self._corner())

    def _corner(self) -> str:
        """Return the corner farthest from the probe."""
        place = self.state.place
        return far_corner(place.at_px, self.state.width_px, self.state.height_px) if place else "bottom-left"

    def _show_anew(self) -> None:
        """Put the frame up again after something stood in its place, and let it settle its own time."""
        if self._shown is not None:
            self._shown = self.bench.screen.show(self._shown.frame)
            self._wait(Wait(self._stood_s))

    def _calm(self) -> None:
        """Pass over what happened before the request; a patch that lay under another window settles anew."""
        for _ in range(_REPAINTS):
            if not any(event.kind == "covered" for event in self._events()) or self.bench.clock.fast:
                return
            self._wait(Wait(self._stood_s))

    def _steady(self) -> None:
        """Say of what is shown since when it has been: a card or a repaint after the frame counts too."""
        changed_s = self.bench.screen.changed_at_s
        if self._shown is not None and changed_s > max(self._shown.at_s, self._aside_s):
            self._shown = replace(self._shown, at_s=changed_s)

    def _measure(self, wanted: Measure) -> Measured:
        probe, clock, screen, awaited = self.bench.probe, self.bench.clock, self.bench.screen, self.bench.awaited
        if probe is None:
            raise ProbeFault("this step needs a probe; name one with --probe, or leave the step out")
        self._calm()
        # From here on nothing is thrown away: what comes after the proof disturbs the reading.
        before = UNLIT if wanted.unlit else wait_until_proved(self.bench, self.state, self._show_anew)
        say_unseen(self.bench, self.state, before, self._next_row)
        self._steady()
        disturbing: list[ScreenEvent] = []

        def watch(events: tuple[ScreenEvent, ...]) -> None:
            disturbing.extend(event for event in events if event.disturbs and not wanted.unlit)

        time_utc = stamp(clock.utc())
        began_s = clock.monotonic_s()
        place, ordered = self.state.place, PromptOrders(TYPED, TYPED_LETTERS)
        awaited.at_px, awaited.watch = (place.at_px if place else None), both(watch, ordered)
        awaited.corrects = corrects
        awaited.frame = self._shown.frame if self._shown is not None else None
        awaited.count, awaited.so_far_cd_m2 = self.state.count, self.state.so_far_cd_m2
        try:
            reading = self._meter.read(wanted, lambda: watch(self._events()), self._next_row)
        except ProbeError as fault:
            return self._held(fault, wanted, time_utc, began_s)
        except AsideError as aside:
            awaited.at_px = awaited.watch = awaited.corrects = None
            return self._set_aside(aside.order, wanted, began_s)
        finally:
            awaited.at_px = awaited.watch = awaited.corrects = awaited.frame = None
        if clock.fast:  # the simulated dwell: the panel drifts as if the probe had integrated
            clock.sleep(reading.integration_s)
        after = UNLIT if wanted.unlit else prove(self.bench, around_probe(self.state), patient=False)
        say_unseen(self.bench, self.state, after, self._next_row)
        watch(self._events())
        self._aside_s = screen.changed_at_s
        self._teller.took(clock.monotonic_s() - began_s)
        told = [proof.why for proof in (before, after) if not proof.holds]
        told += [disturbance(event) for event in sorted(disturbing, key=lambda event: not event.text)]
        why = next(iter(told), "")
        return Measured(reading, bool(why), time_utc, self._shown, why, control_due=self._meter.control_due)

    def _held(self, fault: ProbeError, wanted: Measure, time_utc: str, began_s: float) -> Measured:
        """Wait for a meter that is gone; what was read is put up and settled anew by its step."""
        outage = self._meter.hold(fault, self._next_row)
        self.state.resettle = self.state.unsteady = True
        warm_up = warm_up_after(outage.seconds, self.state, self._step)
        if warm_up is not None:
            self._in_between(warm_up)
        reading = Reading(None, None, None, wanted.integration_s or 0.0, began_s, outage.seconds, note=outage.told)
        return Measured(reading, False, time_utc, self._shown, away=True, control_due=self._meter.control_due)

    def _set_aside(self, order: Order, wanted: Measure, began_s: float) -> Measured:
        """Do something else than type the reading in; it is asked for anew, with its patch settled anew."""
        self._obey(order)
        self.state.resettle = True
        reading = Reading(None, None, None, wanted.integration_s or 0.0, began_s, 0.0)
        return Measured(reading, False, "", self._shown, again=True, control_due=self._meter.control_due)

    def _append(self, draft: RowDraft) -> Row:
        step, state = self._step, self.state
        if step is None:
            raise RuntimeError("a row outside any step")
        row = make_row(
            replacing(draft, step, state),
            row=self._next_row,
            session=state.session,
            visit=step.visit if isinstance(step, Read) else state.visit,
            step=step.number,
            scaled=state.scaled,
            other_meter=state.other_meter,
            floor_cd_m2=state.probe_settings.floor_cd_m2,
        )
        self._store(row)
        noted, self._noted = self._noted, set()
        if "pause" in noted:
            self._obey("pause")
        if "again" in noted:
            self._read_again()
        return row

    def _store(self, row: Row) -> None:
        self.journal.append(row)
        self._next_row += 1
        self.state.remember(row)
        self._teller.read(row)

    def _pause(self) -> None:
        """Show the dim moving pause until somebody goes on; a long one warms the panel up again, as an outage does."""
        bench, state = self.bench, self.state
        paused = run_paused(state, self._teller.last_reading, self._teller.where)
        self._meter.light_changes()
        seconds = keep_paused(bench, paused)
        note_pause(state, seconds, self._next_row, bench.clock.utc())
        warm_up = warm_up_after(seconds, state, self._step)
        if warm_up is not None:
            self._in_between(warm_up)

    def _read_again(self) -> None:
        """Have the patch of this step read from the beginning, or the one before where this has no reading yet.

        Raises:
            ReadAgainError: this step is to begin anew.
        """
        step, state = self._step, self.state
        if isinstance(step, Read) and read_rows(state, step):
            raise ReadAgainError(step, read_rows(state, step))
        last = last_read(state, step)
        if last is None:
            self.bench.operator.tell("nothing was read at this place yet that could be read again")
            return
        again = ReadAgainError(last, read_rows(state, last))
        self.bench.operator.tell(again.told)
        self._in_between(last, again.rows)

    def _correct(self) -> None:
        """Have the last typed reading typed again; what was stored stays, and the new row says which it replaces."""
        row = corrected_by_typing(self.bench, self.state, self._step, self._next_row)
        if row is not None:
            self._store(row)
