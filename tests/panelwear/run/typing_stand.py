"""An engine whose readings are typed, on the screen or at a terminal at which a test types."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator

from panelwear.readings.row import Row
from panelwear.readings.store import Store
from panelwear.run.engine import Engine
from panelwear.run.state import RunState
from panelwear.screen.fake import FakeScreen
from panelwear.screen.operator import Awaited
from panelwear.screen.person import ScreenOperator
from panelwear.screen.terminal import Terminal
from probe_io.open import open_probe
from probe_io.reading import ProbeIdentity
from sequences.model import CloseLook, PutProbe, Read, Step
from tests.panelwear.run.bench import CENTRE, Stand, patch
from tests.panelwear.run.test_disturbances import SteppingClock

STEPS = (PutProbe(1, 1, CENTRE), Read(2, 1, patch(40)), Read(3, 1, patch(90)), CloseLook(4))


def values(stand: Stand) -> list[float | None]:
    return [row.Y_cd_m2 for row in stand.checkpoint.rows()]


class Lines(Terminal):
    """A terminal at which a test types."""

    def __init__(self, source: io.StringIO, sink: io.StringIO) -> None:
        super().__init__(source, sink)
        self.typed: list[str] = []

    def poll(self) -> str | None:
        return self.typed.pop(0) if self.typed else None


def typed(stand: Stand, script: tuple[tuple[str, ...] | str, ...], steps: tuple[Step, ...] = STEPS):
    """Make an engine whose readings are typed.

    For each question one entry of the script is pressed key by key on the screen; a word is a line at the terminal.
    """
    bench = stand.bench()
    clock = SteppingClock(bench.clock.utc())
    screen = FakeScreen(320, 200, clock)
    bench.screen, bench.clock, bench.awaited = screen, clock, Awaited()
    terminal = Lines(io.StringIO(), io.StringIO())
    person = ScreenOperator(screen, terminal, clock)
    honest: Callable[..., str] = person.ask
    entries: Iterator[tuple[str, ...] | str] = iter(script)

    def ask(question):
        entry = next(entries)
        if isinstance(entry, str):
            terminal.typed.append(entry)
            return honest(question)
        for number, key in enumerate(entry):
            screen.press(key, after_s=0.5 + 0.1 * number)
        return honest(question)

    person.ask = ask
    bench.awaited.operator = bench.operator = person
    bench.probe = open_probe(
        "keyboard", ask=bench.awaited.ask, before=bench.awaited.luminance_before, back=bench.awaited.back, clock=clock
    )
    job = stand.job()
    state = RunState(job.panel, job.checkpoint, job.probe_settings, steps, job.resolver, 320, 200, 1, has_probe=True)
    state.place, state.meter = CENTRE, ProbeIdentity("keyboard", "keyboard")
    stand.checkpoint.begin_session(
        sequence="small", source=b"# small\n", seed=7, now=clock.utc(), facts={"steps": len(steps)}
    )
    return Engine(bench, state, Store[Row](stand.checkpoint.readings_path, Row)), screen, clock
