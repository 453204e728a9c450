"""A meter that is gone, or is another one, holds the run; only the same meter, or a person's word, lets it go on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.errors import ProbeFault, Stopped
from panelwear.run.meter_hold import ALONE_S, ASKED_EVERY_S, HOLDS
from panelwear.run.session import run_checkpoint
from panelwear.screen.bench import Bench
from panelwear.screen.page import Words
from panelwear.simulation.scripted import ScriptedOperator
from probe_io.errors import AnotherMeter, CannotOpen, NoReply, ProbeError, Unplugged
from probe_io.reading import Idle, ProbeIdentity
from sequences.model import PutProbe, Read, WarmUp
from tests.panelwear.run.bench import CENTRE, PixelProbe, Stand, patch, small_steps

FIRST = ProbeIdentity("pixels", "port", "A", "42")
SECOND = ProbeIdentity("pixels", "port", "A", "99")
GONE = Unplugged("port: the probe was unplugged")


class PluggedProbe(PixelProbe):
    """A pixel probe with a cable: ``plugged`` tells by time who answers, if anybody does."""

    def __init__(self, bench: Bench, faults: dict[int, ProbeError], plugged: Callable[[float], ProbeIdentity | None]):
        super().__init__(bench.screen, self._fail)
        self.faults, self.plugged, self.clock = dict(faults), plugged, bench.clock
        self.began_s = 0.0
        self.asked_at: list[int] = []
        self.now = FIRST

    def _fail(self, count: int) -> None:
        if count in self.faults:
            self.began_s = self.clock.monotonic_s()
            raise self.faults.pop(count)

    def open(self) -> ProbeIdentity:
        found = self.plugged(self.clock.monotonic_s() - self.began_s)
        if found is None:
            raise CannotOpen("port: there is no such port")
        self.now = found
        return found

    def identify(self, idle: Idle | None = None) -> bool:
        self.asked_at.append(self.count)
        if self.now != FIRST:
            raise AnotherMeter("A 99 answers, and before it was A 42")
        return True

    def light_changes(self) -> None:
        pass


def run(
    stand: Stand,
    faults: dict[int, ProbeError],
    plugged: Callable[[float], ProbeIdentity | None] = lambda _s: FIRST,
    *,
    answers: dict[str, str] | None = None,
    unattended: bool = False,
) -> tuple[Bench, PluggedProbe]:
    bench = stand.bench()
    bench.operator = ScriptedOperator({"brightness": "60", **(answers or {})})
    bench.probe = probe = PluggedProbe(bench, faults, plugged)
    run_checkpoint(bench, replace(stand.job(), probe_identity=FIRST, unattended=unattended))
    return bench, probe


@pytest.fixture
def stand(tmp_path: Path) -> Stand:
    return Stand(tmp_path / "harbour-desk")


def counted(stand: Stand) -> list[tuple[str, int, float | None]]:
    rows = [row for row in stand.checkpoint.rows() if row.purpose != "settling" and row.Y_cd_m2 is not None]
    return [(row.patch, row.repeat, row.Y_cd_m2) for row in rows]


@pytest.mark.parametrize("unattended", [False, True])
def test_a_meter_that_comes_back_is_gone_on_with_from_the_same_patch(
    stand: Stand, tmp_path: Path, unattended: bool
) -> None:
    undisturbed = Stand(tmp_path / "undisturbed")
    run(undisturbed, {})
    bench, _ = run(stand, {4: GONE}, lambda s: FIRST if s > 30 else None, unattended=unattended)

    assert counted(stand) == counted(undisturbed)
    rows = stand.checkpoint.rows()
    (lost,) = [row for row in rows if row.Y_cd_m2 is None]
    assert (lost.row, lost.flags) == (4, "retried")
    assert "the meter was away for 3" in lost.note
    assert [row.patch.split("/")[0] for row in rows if row.purpose == "settling"] == ["settling"] * 12
    (away,) = stand.checkpoint.session["meter_away"]
    assert (away["from_row"], away["seconds"] > 30) == (4, True)
    assert {page.title for page in bench.screen.note.pages} == {"The meter does not answer"}


def test_the_held_screen_says_what_happened_what_is_safe_and_what_to_do(stand: Stand) -> None:
    bench, _ = run(stand, {4: GONE}, lambda s: FIRST if s > 5 else None)
    (page,) = bench.screen.note.pages
    words = [part.text for part in page.parts if isinstance(part, Words)]
    assert page.room == "dark"
    assert words[0].startswith("Port: the probe was unplugged")
    assert words[1].startswith("3 readings are stored in ")
    assert "Visit 1 of 5, patch 2 of 8" in words[1]
    assert [(item.value, item.label) for item in page.items] == [("r", "Try again now"), ("s", "Stop here")]


def test_r_looks_for_the_meter_at_once_and_s_stops_with_everything_stored(stand: Stand) -> None:
    bench = stand.bench()
    bench.probe = probe = PluggedProbe(bench, {4: GONE}, lambda _s: None)
    looks: list[float] = []
    honest = probe.plugged

    def plugged(seconds: float) -> ProbeIdentity | None:
        looks.append(seconds)
        if len(looks) == 1:
            bench.screen.press("x", "r", after_s=0.3)
            bench.screen.press("s", after_s=2.0)
        return honest(seconds)

    probe.plugged = plugged
    with pytest.raises(Stopped, match=r"while the meter was away; .* goes on, 3 readings are stored"):
        run_checkpoint(bench, replace(stand.job(), probe_identity=FIRST))
    assert [round(at_s, 1) for at_s in looks] == [0.0, 0.3, 1.3]
    assert bench.screen.darkened == 1


def test_nobody_there_waits_only_so_long_and_says_how_to_go_on(stand: Stand) -> None:
    with pytest.raises(
        ProbeFault, match=r"unplugged; 'panelwear resume .*harbour-desk' goes on, 3 readings are stored"
    ):
        run(stand, {4: GONE}, lambda _s: None, unattended=True)
    assert stand.checkpoint.session["status"] == "stopped"


def test_escape_ends_a_held_run_with_everything_stored(stand: Stand) -> None:
    bench = stand.bench()
    bench.probe = PluggedProbe(bench, {4: GONE}, lambda _s: None)
    bench.screen.press("escape", after_s=3 * ALONE_S)
    with pytest.raises(Stopped, match=r"'panelwear resume .*' goes on, 3 readings are stored"):
        run_checkpoint(bench, replace(stand.job(), probe_identity=FIRST))


def test_a_meter_that_goes_again_at_every_reading_ends_the_run(stand: Stand) -> None:
    with pytest.raises(ProbeFault, match="unplugged"):
        run(stand, dict.fromkeys(range(4, 30), GONE))
    rows = stand.checkpoint.rows()
    assert [row.Y_cd_m2 is None for row in rows] == [False] * 3 + [True] * HOLDS


def test_a_question_for_the_name_that_is_not_answered_ends_nothing(stand: Stand) -> None:
    bench = stand.bench()
    bench.probe = probe = PluggedProbe(bench, {}, lambda _s: FIRST)

    def mute(idle: Idle | None = None) -> bool:
        probe.asked_at.append(probe.count)
        raise NoReply("port: no whole reply within 2 s")

    probe.identify = mute
    run_checkpoint(bench, replace(stand.job(), probe_identity=FIRST, unattended=True))
    assert len(probe.asked_at) == len(stand.checkpoint.rows()), "it is asked again before each reading"


def test_a_silent_meter_is_waited_for_only_where_somebody_can_switch_it_on(stand: Stand, tmp_path: Path) -> None:
    silent = NoReply("port: no whole reply within 3 s; nothing came")
    run(stand, {4: silent})
    with pytest.raises(ProbeFault, match="no whole reply"):
        run(Stand(tmp_path / "alone"), {4: silent}, unattended=True)


@pytest.mark.parametrize("unattended", [False, True])
def test_another_meter_holds_the_run_until_the_first_one_is_back(stand: Stand, unattended: bool) -> None:
    bench, _ = run(stand, {4: GONE}, lambda s: SECOND if s < 100 else FIRST, unattended=unattended)

    assert isinstance(bench.operator, ScriptedOperator)
    said = [text for text in bench.operator.told if "stays held" in text]
    assert said == [
        "the run stays held: the meter that answers is A 99; so far in this session it was A 42",
    ]
    assert ("another_meter", "wait for the first") in bench.operator.asked or unattended
    assert "other_meters" not in stand.checkpoint.session
    assert all(row.flags in {"ok", "retried"} for row in stand.checkpoint.rows())


def test_nobody_there_never_goes_on_with_another_meter(stand: Stand) -> None:
    with pytest.raises(ProbeFault, match="unplugged"):
        run(stand, {4: GONE}, lambda _s: SECOND, unattended=True)
    assert len(stand.checkpoint.rows()) == 3


def test_a_person_may_go_on_with_another_meter_and_every_reading_says_so(stand: Stand) -> None:
    run(stand, {4: GONE}, lambda _s: SECOND, answers={"another_meter": "go on with this one"})

    rows = stand.checkpoint.rows()
    assert ["other-meter" in row.flags.split() for row in rows] == [row.row >= 4 for row in rows]
    (noted,) = stand.checkpoint.session["other_meters"]
    assert noted["from_row"] == 4
    assert "A 99" in noted["said"]
    assert stand.checkpoint.session["segments"][-1]["first_row"] == 4


def test_the_meter_is_asked_once_a_visit_and_every_minute(tmp_path: Path) -> None:
    _, probe = run(Stand(tmp_path / "visits"), {})
    visits = [step for step in small_steps() if isinstance(step, PutProbe)]
    assert len(probe.asked_at) >= len(visits)

    settle = replace(patch(128), settle_s=ASKED_EVERY_S / 2)
    steps = (PutProbe(1, 1, CENTRE), *(Read(n, 1, settle) for n in range(2, 12)))
    _, probe = run(Stand(tmp_path / "minutes", steps), {})
    assert 5 <= len(probe.asked_at) <= 6


def test_an_exchanged_meter_is_found_at_the_next_visit(stand: Stand) -> None:
    bench = stand.bench()
    assert isinstance(bench.operator, ScriptedOperator)
    bench.probe = probe = PluggedProbe(bench, {}, lambda _s: SECOND)
    honest = probe.measure

    def swapped(integration_s: float | None = None, idle: Idle | None = None):
        if probe.count == 6:
            probe.now = SECOND
        return honest(integration_s, idle)

    probe.measure = swapped
    with pytest.raises(ProbeFault, match="A 99 answers, and before it was A 42"):
        run_checkpoint(bench, replace(stand.job(), probe_identity=FIRST, unattended=True))
    assert {row.visit for row in stand.checkpoint.rows()} == {1}
    assert "rows 1 to 8 may be of either" in " ".join(bench.operator.told)


def test_after_a_long_time_the_warm_up_is_repeated(tmp_path: Path) -> None:
    warm = WarmUp(2, 2.0, 40.0, 90.0)
    steps = (PutProbe(1, 1, CENTRE), warm, *(Read(n, 1, patch(code)) for n, code in enumerate((128, 40, 200), 3)))
    short, long = Stand(tmp_path / "short", steps), Stand(tmp_path / "long", steps)
    frames = {}
    for stand, away_s in ((short, 250.0), (long, 400.0)):
        bench, _ = run(stand, {4: GONE}, lambda s, least=away_s: FIRST if s > least else None)
        names = [shown.frame.pattern for shown in bench.screen.note.shown]
        frames[stand.folder.name] = names.count("warm-up")
        assert [Y for patch, repeat, Y in counted(stand) if repeat == 2] == [128.0, 40.0, 200.0]
    assert frames["long"] == 2 * frames["short"]
