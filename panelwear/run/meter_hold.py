"""Hold a run whose meter is gone, or is another one: dim, with a card that says what to do, until it is back."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

from groundwork.documents import printable
from panelwear.errors import Stopped
from panelwear.folder.checkpoint import stamp
from panelwear.probe_border import probe_words
from panelwear.run.messages import Measure
from panelwear.run.meter import LOOK, other_meter
from panelwear.run.pages import AGAIN, STOP, Held, Way, held_page, held_question, stored_words
from panelwear.run.state import RunState
from panelwear.screen.bench import Bench
from panelwear.screen.page import Page
from panelwear.screen.taking import worked
from panelwear.screen.waiting import happened, moments
from panelwear.telling.words import with_capital
from probe_io.errors import AnotherMeter, BadReply, LinkError, NoReply, ProbeError
from probe_io.reading import Controllable, Identifying, Idle, ProbeIdentity, Reading
from probe_io.reconnect import Finder

EVERY_S = 1.0
"""How long from one look for the meter to the next."""
ALONE_S = 600.0
"""How long it is waited for where nobody is there; then the run ends, with everything stored."""
ASKED_EVERY_S = 60.0
"""How often between two readings the meter is asked who it is, beside once a visit."""
HOLDS = 3
"""So often one reading is begun anew: a meter that comes back and goes again each time is broken."""
WHAT_TO_DO = (
    "Connect the meter again, or switch it on; do not move the probe.",
    "The run goes on by itself once the same meter answers.",
    "s or Escape here, or Ctrl-C at the terminal, stops; everything read is stored.",
)
NO_ANSWER = "The meter does not answer"
OTHER = "Another meter answers"
WAIT, GO_ON = "wait for the first", "go on with this one"
WAYS = (
    Way(WAIT, "w", "Wait for the first", "the run stays held until it answers"),
    Way(GO_ON, "g", "Go on with this one", "from here on each reading is flagged 'other-meter'"),
)
"""What may be done where another meter answers in the middle of a run."""


@dataclass(frozen=True, slots=True)
class Outage:
    """A time without the meter, as the record keeps it."""

    from_row: int
    """The first row after it; the row of the reading it broke off."""
    began_utc: str
    seconds: float
    why: str
    link: str
    """Where the meter answers now."""

    @property
    def told(self) -> str:
        """What it was, for the row's note."""
        return f"the meter was away for {self.seconds:.0f} s ({self.why})"


class MeterKeeper:
    """Knows which meter the run is read with, and holds the run while it does not answer.

    Args:
        bench: Screen, clock, person and the open probe.
        state: The session.
    """

    def __init__(self, bench: Bench, state: RunState) -> None:
        self._bench = bench
        self._state = state
        self._finder = Finder(bench.probe) if bench.probe is not None else None
        self._refused: set[str] = set()
        """Other meters the person does not go on with."""
        self._asked_at_s = bench.clock.monotonic_s()
        self._asked_visit = state.visit
        self._holds = 0
        self._between = False
        """Whether another meter was found by asking: since when it is on the line is then not known."""
        self._page = Page("", ())
        """What the screen says while the run is held."""
        self._sure_until_row = 0
        """The last row before the meter said who it is."""
        if isinstance(bench.probe, Controllable):
            bench.probe.by_control = True

    def light_changes(self) -> None:
        """Tell the probe that what it reads is other light from now on."""
        if isinstance(self._bench.probe, Identifying):
            self._bench.probe.light_changes()

    @property
    def control_due(self) -> bool:
        """Whether nothing may be believed before a known patch was read."""
        probe = self._bench.probe
        return isinstance(probe, Controllable) and probe.control_due

    def read(self, wanted: Measure, idle: Idle, next_row: int) -> Reading:
        """Take a reading, after the meter said who it is where that is due."""
        probe = self._bench.probe
        if probe is None:
            raise LinkError("there is no probe")
        if isinstance(probe, Controllable) and wanted.line:
            probe.line_is_proved() if wanted.line == "proved" else probe.line_is_lost()
        self._ask_who(next_row)
        reading = probe.measure(wanted.integration_s, idle)
        self._holds = 0
        return reading

    def _ask_who(self, next_row: int) -> None:
        """Ask once a visit, and every minute; ``AnotherMeter`` when it is another one."""
        probe, now_s = self._bench.probe, self._bench.clock.monotonic_s()
        due = self._state.visit != self._asked_visit or now_s - self._asked_at_s >= ASKED_EVERY_S
        if due and isinstance(probe, Identifying):
            try:
                probe.identify(self._pump)
            except (NoReply, BadReply):
                return  # the reading finds out what is the matter, and before the next one it is asked again
            self._sure(next_row)

    def hold(self, fault: ProbeError, next_row: int) -> Outage:
        """Wait until the meter answers again, and record how long that took.

        Raises:
            ProbeError: the fault itself, where waiting cannot help or nobody came.
            Stopped: Escape.
        """
        self._holds += 1
        if self._finder is None or self._holds > HOLDS or not self._can_wait(fault):
            raise fault
        bench, clock, state = self._bench, self._bench.clock, self._state
        began_s, began_utc = clock.monotonic_s(), stamp(clock.utc())
        why = printable(str(fault))
        another = isinstance(fault, AnotherMeter)
        self._between = False
        if another and self._sure_until_row + 1 < next_row:
            self._between = True
            why += f"; rows {self._sure_until_row + 1} to {next_row - 1} may be of either"
        self._say(why, another=another)
        until_s = began_s + ALONE_S if state.unattended else math.inf
        while (identity := self._found(next_row)) is None:
            if clock.monotonic_s() >= until_s:
                raise fault
            self._look_again()
        seconds = round(clock.monotonic_s() - began_s, 1)
        outage = Outage(next_row, began_utc, seconds, why, identity.link)
        state.probe = probe_words(identity, state.probe_settings.serial)
        bench.operator.tell(f"the meter answers again after {seconds:.0f} s: {state.probe}")
        self._sure(next_row)
        record = state.checkpoint.session
        record["meter_away"] = [*record.get("meter_away", []), asdict(outage)]
        state.checkpoint.save()
        return outage

    def _can_wait(self, fault: ProbeError) -> bool:
        """Tell whether a person can mend it: a silent meter by switching it on, so only where somebody is there."""
        if isinstance(fault, LinkError | AnotherMeter):
            return True
        return isinstance(fault, NoReply | BadReply) and not self._state.unattended

    def _sure(self, next_row: int) -> None:
        self._asked_at_s, self._asked_visit = self._bench.clock.monotonic_s(), self._state.visit
        self._sure_until_row = next_row - 1

    def _pump(self) -> None:
        happened(self._bench.screen)

    def _say(self, why: str, *, another: bool) -> None:
        bench = self._bench
        bench.operator.tell(f"the run is held: {why}. {' '.join(WHAT_TO_DO)}")
        self._lay(OTHER if another else NO_ANSWER, why)
        bench.operator.bell()

    def _found(self, next_row: int) -> ProbeIdentity | None:
        """Look once at every place the meter can be; ``None``: it is not there."""
        finder, state = self._finder, self._state
        if finder is None:
            return None
        for link in finder.links():
            try:
                identity = finder.open(link, self._pump)
            except ProbeError:
                continue
            said = other_meter(identity, state.meter_told, "so far in this session")
            if not said and link != finder.home and not identity.serial:
                said = f"a meter that does not tell its serial number answers on {link}; before it was on {finder.home}"
            if not said or self._goes_on_with(printable(said), identity, next_row):
                finder.found_on(link)
                return identity
        return None

    def _goes_on_with(self, said: str, identity: ProbeIdentity, next_row: int) -> bool:
        """Have the person say whether to go on with another meter; nobody there: never."""
        state, bench = self._state, self._bench
        if said in self._refused:
            return False
        self._refused.add(said)
        bench.operator.tell(f"the run stays held: {said}")
        bench.operator.bell()
        if not state.unattended:
            held = Held(OTHER, f"{with_capital(said)}.", LOOK, state.safe, state.where)
            if bench.operator.ask(held_question("another_meter", held, WAYS, pauses=False)) == GO_ON:
                self._take_over(said, identity, next_row)
                return True
        self._lay(OTHER, said)
        return False

    def _lay(self, title: str, why: str) -> None:
        state = self._state
        safe = stored_words(state.stored, state.checkpoint.name)
        self._page = held_page(title, f"{with_capital(why)}.", WHAT_TO_DO, safe, state.where)
        self._bench.screen.page(self._page)

    def _look_again(self) -> None:
        """Let a while pass before the next look for the meter, or until the person wants one.

        Raises:
            Stopped: the person ends the run.
        """
        screen, clock = self._bench.screen, self._bench.clock
        for events in moments(screen, clock, clock.monotonic_s() + EVERY_S):
            page = self._page
            for event in events:
                self._page, taken = worked(self._page, event, screen.row_at)
                if taken == STOP:
                    screen.darken()
                    raise Stopped("stopped while the meter was away; everything up to here is kept")
                if taken == AGAIN:
                    return
            if self._page != page:
                screen.page(self._page)

    def _take_over(self, said: str, identity: ProbeIdentity, next_row: int) -> None:
        """Record from which row on another meter is read, and from which one that cannot be told."""
        state, record = self._state, self._state.checkpoint.session
        noted: dict[str, Any] = {"from_row": next_row, "said": said}
        if self._between:
            noted["sure_until_row"] = self._sure_until_row
        record["other_meters"] = [*record.get("other_meters", []), noted]
        state.take_meter(identity)
        state.checkpoint.begin_segment(next_row, said, self._bench.clock.utc())
