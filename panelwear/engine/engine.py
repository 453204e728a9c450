"""The engine: runs steps by doing what they ask, one message at a time; all effects are the bench's."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.engine import pace
from panelwear.engine.contract import Bench
from panelwear.engine.messages import (
    Append,
    Ask,
    Bell,
    GoOn,
    Keep,
    Measure,
    Measured,
    Message,
    MoveProbe,
    Show,
    Tell,
    Wait,
)
from panelwear.engine.rows import RowDraft, make_row
from panelwear.engine.session import Session
from panelwear.engine.steps import begin
from panelwear.errors import ProbeFault, Stopped
from panelwear.folder.checkpoint import stamp
from panelwear.journal.row import Row
from panelwear.journal.store import Store
from panelwear.operator import Progress
from panelwear.screen.contract import Card, ScreenEvent, Shown
from sequences.model import Ask as AskStep
from sequences.model import CloseLook, Hold, PutProbe, Read, Room, Step, WarmUp

_WORDS: dict[type, str] = {
    AskStep: "questions",
    WarmUp: "warm-up",
    Room: "black, room and probe floor",
    PutProbe: "put the probe",
    Hold: "hold for eye or camera",
    CloseLook: "the end",
}
_SLICE_S = 0.02
"""The screen is pumped at least this often, also while the probe is waited for."""
_CARD_GONE_BEFORE_S = 0.4
"""A card is off the screen at least this long before the next reading."""


class Engine:
    """Runs the steps of one sitting and appends the rows."""

    def __init__(self, bench: Bench, session: Session, journal: Store[Row]) -> None:
        self.bench = bench
        self.session = session
        self.journal = journal
        self._step: Step | None = None
        self._next_row = 1
        self._reading_s = pace.READING_S
        self._last_reading = ""
        self._pause_wanted = False
        self._shown: Shown | None = None

    def run(self, first_row: int, skip: int = 0) -> None:
        """Run all steps but the first ``skip``; the first new row gets number ``first_row``."""
        self._next_row = first_row
        for index, step in enumerate(self.session.steps):
            if index >= skip:
                self._step = step
                self._tell_progress(index)
                self._drive(begin(step, self.session))

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
                self._shown = bench.screen.show(frame, fade_s, card)
                return self._shown
            case Wait():
                return self._wait(message)
            case Measure(integration_s=integration_s):
                return self._measure(integration_s)
            case Append(draft=draft):
                return self._append(draft)
            case Ask(question=question):
                return bench.operator.ask(question)
            case MoveProbe(place=place, text=text):
                return bench.operator.put_probe(place, text)
            case GoOn(text=text):
                return bench.operator.go_on(text)
            case Tell(text=text):
                return bench.operator.tell(text)
            case Bell():
                return bench.operator.bell()
            case Keep(key=key, value=value):
                self.session.facts[key] = value
                self.session.checkpoint.sitting[key] = value
                return self.session.checkpoint.save()

    def _events(self) -> tuple[ScreenEvent, ...]:
        events = self.bench.screen.poll()
        for event in events:
            if event.kind == "quit" or (event.kind == "key" and event.key == "escape"):
                raise Stopped("stopped; what was read is stored, 'panelwear resume' goes on")
            self._pause_wanted |= event.kind == "key" and event.key == "p"
        return events

    def _wait(self, wait: Wait) -> None:
        clock, screen = self.bench.clock, self.bench.screen
        end = clock.monotonic_s() + wait.seconds
        if clock.fast:
            clock.sleep(wait.seconds)
            self._events()
            return
        with_card = wait.card is not None and wait.seconds > 2 * _CARD_GONE_BEFORE_S
        if with_card:
            screen.card(wait.card)
        while (left := end - clock.monotonic_s()) > 0:
            if with_card and left <= _CARD_GONE_BEFORE_S:
                screen.card(None)
                with_card = False
            events = self._events()
            if wait.until_key and any(e.kind in {"key", "pointer-down"} for e in events):
                break
            clock.sleep(min(_SLICE_S, left))
        if with_card:
            screen.card(None)

    def _measure(self, integration_s: float | None) -> Measured:
        probe, clock = self.bench.probe, self.bench.clock
        if probe is None:
            raise ProbeFault("this step needs a probe; name one with --probe, or leave the step out")
        self._events()  # what happened before the request does not disturb the reading
        disturbing: list[ScreenEvent] = []

        def idle() -> None:
            disturbing.extend(event for event in self._events() if event.disturbs)

        time_utc = stamp(clock.utc())
        began_s = clock.monotonic_s()
        reading = probe.measure(integration_s, idle)
        if clock.fast:  # the simulated dwell: the panel drifts as if the probe had integrated
            clock.sleep(reading.integration_s)
        idle()
        self._reading_s += 0.2 * (clock.monotonic_s() - began_s - self._reading_s)
        return Measured(reading, bool(disturbing), time_utc, self._shown)

    def _append(self, draft: RowDraft) -> Row:
        step, session = self._step, self.session
        if step is None:
            raise RuntimeError("a row outside any step")
        row = make_row(
            draft,
            row=self._next_row,
            sitting=session.sitting,
            visit=step.visit if isinstance(step, Read) else session.visit,
            step=step.number,
            scaled=session.scaled,
            floor_cd_m2=session.probe_settings.floor_cd_m2,
        )
        self.journal.append(row)
        self._next_row += 1
        session.remember(row)
        self._say_reading(row)
        if self._pause_wanted:
            self._pause()
        return row

    def _pause(self) -> None:
        """Show the dim moving screen until a key comes, then put the patch back and let it settle."""
        self._pause_wanted = False
        bench, shown = self.bench, self._shown
        bench.operator.tell("paused; any key goes on")
        began_s = bench.clock.monotonic_s()
        from patterns import build

        waiting = True
        while waiting:
            t_s = bench.clock.monotonic_s() - began_s
            size = (self.session.width_px, self.session.height_px)
            bench.screen.show(build("pause", *size, codes=(0.0, 0.0, 0.0), t_s=t_s), 0.0)
            waiting = not any(e.kind in {"key", "pointer-down"} for e in self._events())
            bench.clock.sleep(0.2)
        if shown is not None:
            self._shown = bench.screen.show(shown.frame)
            self._wait(Wait(2.0))

    def _say_reading(self, row: Row) -> None:
        if row.Y_cd_m2 is None:
            self._last_reading = f"last: no reading ({row.note or row.flags})"
        elif row.x is not None and row.y is not None:
            self._last_reading = f"last: {row.Y_cd_m2:.4g} cd/m²  x {row.x:.4f}  y {row.y:.4f}"
        else:
            self._last_reading = f"last: {row.Y_cd_m2:.4g} cd/m²"

    def progress(self, index: int) -> Progress:
        """Tell where the run stands before step ``index`` (from 0)."""
        steps = self.session.steps
        warm_up = self.session.warm_up_minutes
        total = pace.left_seconds(steps, 0, self._reading_s, warm_up) or 1.0
        left = pace.left_seconds(steps, index, self._reading_s, warm_up)
        step = steps[index]
        what = step.patch.key if isinstance(step, Read) else _WORDS[type(step)]
        return Progress(index + 1, len(steps), 1 - left / total, left, what, self._last_reading)

    def _tell_progress(self, index: int) -> None:
        told = self.progress(index)
        self.session.overlay = overlay_card(told)
        self.bench.operator.progress(told)


def overlay_card(progress: Progress) -> Card:
    """Make the operator's overlay of one state of the run."""
    minutes = max(0, round(progress.left_s / 60))
    lines = [f"{progress.step}/{progress.steps}  {progress.what}", f"about {minutes} min left"]
    if progress.last_reading:
        lines.append(progress.last_reading)
    return Card(tuple(lines), corner="bottom-left", share_done=progress.done_share)
