"""The engine: runs steps by doing what they ask, one message at a time; all effects are the bench's."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from typing import Any

from panelwear.errors import ProbeFault
from panelwear.folder.checkpoint import stamp
from panelwear.readings.row import Row
from panelwear.run.interruption import warm_up_after
from panelwear.run.messages import (
    ENDLESS_S,
    UNATTENDED_S,
    Append,
    Ask,
    Bell,
    GoOn,
    Journal,
    Keep,
    Measure,
    Measured,
    Message,
    MoveProbe,
    Show,
    Tell,
    Wait,
)
from panelwear.run.meter_hold import MeterKeeper
from panelwear.run.progress import READING_S, Overlay, left_seconds, overlay_card, overlay_in
from panelwear.run.rows import RowDraft, make_row
from panelwear.run.standing import UNLIT, around_probe, prove, say_unseen, wait_until_proved
from panelwear.run.state import RunState
from panelwear.run.steps import begin
from panelwear.run.steps.find_probe import find_probe
from panelwear.screen.bench import Bench
from panelwear.screen.contract import ScreenEvent, Shown, far_corner
from panelwear.screen.operator import Progress
from panelwear.screen.waiting import happened, is_key_or_click, moments
from probe_io.errors import ProbeError
from probe_io.reading import Reading
from sequences.model import AskFacts, CloseLook, Hold, PutProbe, Read, Room, Step, WarmUp

_WORDS: dict[type, str] = {
    AskFacts: "questions",
    WarmUp: "warm-up",
    Room: "black, room and probe floor",
    PutProbe: "put the probe",
    Hold: "hold for eye or camera",
    CloseLook: "the end",
}
_PAUSE_STEP_S = 0.2
"""The pause's picture moves on this often."""
_REPAINTS = 3
"""How often a wait begins anew because of a repaint; a desktop that never rests must not stop a run."""


def _what(event: ScreenEvent) -> str:
    """Say what an event did to a reading."""
    if event.kind == "covered":
        return f"{event.text} came over the pattern"
    return event.text or f"disturbed at the screen: {event.kind}"


class Engine:
    """Runs the steps of one session and appends the rows."""

    def __init__(self, bench: Bench, state: RunState, journal: Journal) -> None:
        self.bench = bench
        self.state = state
        self.journal = journal
        self._step: Step | None = None
        self._next_row = 1
        self._reading_s = READING_S
        self._last_reading = ""
        self._pause_wanted = False
        self._shown: Shown | None = None
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
            self._tell_progress(index)
            self._drive(begin(step, self.state))

    def _drive(self, step: Generator[Message, Any, None]) -> None:
        answer: Any = None
        try:
            while True:
                answer = self._do(step.send(answer))
        except StopIteration:
            return
        finally:
            step.close()

    def _do(self, message: Message) -> Any:  # noqa: PLR0911 - one line a kind of message
        bench = self.bench
        match message:
            case Show(frame=frame, fade_s=fade_s, card=card):
                self._meter.light_changes()
                self._shown, self._stood_s = bench.screen.show(frame, fade_s, card), 0.0
                return self._shown
            case Wait(seconds=seconds):
                self._stood_s = seconds
                return self._wait(message)
            case Measure():
                return self._measure(message)
            case Append(draft=draft):
                return self._append(draft)
            case Ask(question=question):
                return bench.operator.ask(question)
            case MoveProbe():
                return self._move_probe(message)
            case GoOn(text=text):
                return bench.operator.go_on(text)
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
        self.bench.operator.put_probe(move.place, move.text)
        step, state = self._step, self.state
        if step is None or not (move.find and state.locate):
            return
        puts = [s for s in state.steps if isinstance(s, PutProbe) and s.place == move.place and s.number <= step.number]
        # Its readings are rows of the placement they belong to.
        self._step = PutProbe(puts[-1].number if puts else step.number, state.visit, move.place)
        self._drive(find_probe(self._step, state))
        self._step = step

    def _events(self) -> tuple[ScreenEvent, ...]:
        events = happened(self.bench.screen)
        self._note_pause(events)
        return events

    def _note_pause(self, events: tuple[ScreenEvent, ...]) -> None:
        self._pause_wanted |= any(event.kind == "key" and event.key == "p" for event in events)

    def _wait(self, wait: Wait) -> None:
        clock, screen = self.bench.clock, self.bench.screen
        if clock.fast:
            endless = wait.until_key and wait.seconds >= ENDLESS_S
            clock.sleep(UNATTENDED_S if endless else wait.seconds)
            events = happened(screen)
            if not wait.until_key:
                self._note_pause(events)
            return
        end_s = clock.monotonic_s() + wait.seconds
        overlay = self._overlay_in(wait)
        if overlay is not None:
            screen.card(overlay.card)
        repaints, changed_s = 0, screen.changed_at_s

        def ends_s() -> float:  # a repaint puts it off
            return end_s

        for events in moments(screen, clock, ends_s):
            if not wait.until_key:
                self._note_pause(events)
            elif any(is_key_or_click(event) for event in events):
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

    def _overlay_in(self, wait: Wait) -> Overlay | None:
        place = self.state.place
        size = (self.state.width_px, self.state.height_px)
        return overlay_in(wait.card, wait.seconds, far_corner(place.at_px, *size) if place else "bottom-left")

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
        place = self.state.place
        awaited.at_px, awaited.watch = (place.at_px if place else None), watch
        awaited.frame = self._shown.frame if self._shown is not None else None
        try:
            reading = self._meter.read(wanted, lambda: watch(self._events()), self._next_row)
        except ProbeError as fault:
            return self._held(fault, wanted, time_utc, began_s)
        finally:
            awaited.at_px = awaited.watch = awaited.frame = None
        if clock.fast:  # the simulated dwell: the panel drifts as if the probe had integrated
            clock.sleep(reading.integration_s)
        after = UNLIT if wanted.unlit else prove(self.bench, around_probe(self.state), patient=False)
        say_unseen(self.bench, self.state, after, self._next_row)
        watch(self._events())
        self._aside_s = screen.changed_at_s
        self._reading_s += 0.2 * (clock.monotonic_s() - began_s - self._reading_s)
        told = [proof.why for proof in (before, after) if not proof.holds]
        told += [_what(event) for event in sorted(disturbing, key=lambda event: not event.text)]
        why = next(iter(told), "")
        return Measured(reading, bool(why), time_utc, self._shown, why, control_due=self._meter.control_due)

    def _held(self, fault: ProbeError, wanted: Measure, time_utc: str, began_s: float) -> Measured:
        """Wait for a meter that is gone; what was read is put up and settled anew by its step."""
        outage = self._meter.hold(fault, self._next_row)
        self.state.resettle = self.state.unsteady = True
        warm_up = warm_up_after(outage.seconds, self.state, self._step)
        if warm_up is not None:
            step, self._step = self._step, warm_up
            self._drive(begin(warm_up, self.state))
            self._step = step
        reading = Reading(None, None, None, wanted.integration_s or 0.0, began_s, outage.seconds, note=outage.told)
        return Measured(reading, False, time_utc, self._shown, away=True, control_due=self._meter.control_due)

    def _append(self, draft: RowDraft) -> Row:
        step, state = self._step, self.state
        if step is None:
            raise RuntimeError("a row outside any step")
        row = make_row(
            draft,
            row=self._next_row,
            session=state.session,
            visit=step.visit if isinstance(step, Read) else state.visit,
            step=step.number,
            scaled=state.scaled,
            other_meter=state.other_meter,
            floor_cd_m2=state.probe_settings.floor_cd_m2,
        )
        self.journal.append(row)
        self._next_row += 1
        state.remember(row)
        self._say_reading(row)
        if self._pause_wanted:
            self._pause()
        return row

    def _pause(self) -> None:
        """Show the dim moving screen until a key comes, then put the patch back; its step lets it settle anew."""
        self._pause_wanted = False
        clock, screen, shown = self.bench.clock, self.bench.screen, self._shown
        self.bench.operator.tell("paused; any key goes on")
        began_s = clock.monotonic_s()
        next_s = began_s
        from patterns import build

        size = (self.state.width_px, self.state.height_px)
        for events in moments(screen, clock):
            if any(is_key_or_click(event) for event in events):
                break
            now_s = clock.monotonic_s()
            if now_s >= next_s:
                screen.show(build("pause", *size, codes=(0.0, 0.0, 0.0), t_s=now_s - began_s), 0.0)
                next_s = now_s + _PAUSE_STEP_S
        if shown is not None:
            self._shown = screen.show(shown.frame)
        self.state.resettle = True

    def _say_reading(self, row: Row) -> None:
        if row.Y_cd_m2 is None:
            self._last_reading = f"last: no reading ({row.note or row.flags})"
        elif row.x is not None and row.y is not None:
            self._last_reading = f"last: {row.Y_cd_m2:.4g} cd/m²  x {row.x:.4f}  y {row.y:.4f}"
        else:
            self._last_reading = f"last: {row.Y_cd_m2:.4g} cd/m²"

    def progress(self, index: int) -> Progress:
        """Tell where the run stands before step ``index`` (from 0)."""
        steps = self.state.steps
        warm_up = self.state.warm_up_minutes
        total = left_seconds(steps, 0, self._reading_s, warm_up) or 1.0
        left = left_seconds(steps, index, self._reading_s, warm_up)
        step = steps[index]
        what = step.patch.key if isinstance(step, Read) else _WORDS[type(step)]
        return Progress(index + 1, len(steps), 1 - left / total, left, what, self._last_reading, self.state.probe)

    def _tell_progress(self, index: int) -> None:
        told = self.progress(index)
        self.state.overlay = overlay_card(told)
        self.bench.operator.progress(told)
