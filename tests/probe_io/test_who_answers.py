"""Another meter on the same line is found, also where what proves the line says nothing of who answers."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from benchmarks.serial_schedules import BY_CONTROL, instruments
from probe_io import instrument_file
from probe_io.dialogue import Believed, Pace
from probe_io.errors import AnotherMeter
from probe_io.instrument import Instrument
from probe_io.serial_probe import SerialProbe
from probe_io.simulated import Fault, ProbeServer, serve, steady
from probe_io.simulated.schedule import Fate, tally_of
from tests.probe_io.bench import quick

LIGHT = steady(95.0, 100.0, 108.0)
QUICK = quick("scpi-colorimeter")


def served(*faults: Fault) -> ProbeServer:
    return serve("scpi-colorimeter", LIGHT, faults=faults, dwell=False, serial="0042")


def test_the_same_meter_says_so() -> None:
    with served() as server:
        probe = SerialProbe(QUICK, server.url)
        probe.open()
        assert probe.identify()
        assert probe.measure().Y_cd_m2 == 100.0


def test_another_one_is_told_with_both_names() -> None:
    with served(Fault("other-serial", 2, 0)) as server:
        probe = SerialProbe(QUICK, server.url)
        probe.open()
        probe.measure()
        with pytest.raises(AnotherMeter, match="SIMULATED 0099 answers, and before it was SIMULATED 0042"):
            probe.identify()


def test_after_a_missing_answer_it_is_asked_before_a_reading_is_believed() -> None:
    """``*OPC?`` proves the line in step, and answers 1 whoever is asked."""
    with served(Fault("silence", 2, 1), Fault("other-serial", 3, 0)) as server:
        probe = SerialProbe(QUICK, server.url)
        probe.open()
        assert probe.measure().Y_cd_m2 == 100.0
        with pytest.raises(AnotherMeter):
            probe.measure()


def test_an_instrument_that_cannot_be_asked_is_not() -> None:
    text = (instrument_file.SHIPPED / "plain-lines.toml").read_text(encoding="utf-8")
    silent = instrument_file.parse(text.replace("identity = true", "identity = false").encode(), "silent")
    with serve("plain-lines", LIGHT, dwell=False) as server:
        probe = SerialProbe(silent, server.url)
        probe.open()
        assert not probe.identify()


@pytest.fixture
def mute() -> Iterator[tuple[SerialProbe, ProbeServer]]:
    """A meter without a question to find the step by, whose second answer is missing."""
    instrument: Instrument = instruments()["no resync question"][0]
    with serve("plain-lines", LIGHT, faults=(Fault("silence", 2),), dwell=False) as server:
        yield SerialProbe(instrument, server.url), server


def test_a_missing_answer_that_no_question_heals_ends_the_reading(mute: tuple[SerialProbe, ProbeServer]) -> None:
    probe, server = mute
    probe.open()
    probe.by_control = True
    assert (probe.measure().Y_cd_m2, probe.control_due) == (100.0, False)
    assert (probe.measure().Y_cd_m2, probe.control_due, server.faults.measured) == (None, True, 2)
    assert probe.measure().Y_cd_m2 == 100.0, "the known patch itself is read"
    assert probe.control_due, "until somebody says that it read as it is known"
    probe.line_is_proved()
    assert not probe.control_due


def test_who_has_no_known_patch_reads_on_as_before(mute: tuple[SerialProbe, ProbeServer]) -> None:
    probe, _ = mute
    probe.open()
    probe.measure()
    assert (probe.measure().Y_cd_m2, probe.control_due) == (100.0, False)


def test_an_answer_to_other_light_that_comes_again_is_asked_for_once_more() -> None:
    pace = Pace()
    pace.light_changes()
    pace.believe(Believed(b"= 50", 1.0, 1.0))
    assert not pace.is_old(b"= 50"), "the same light may read the same"
    pace.light_changes()
    assert pace.is_old(b"= 50")
    pace.believe(Believed(b"= 50", 1.0, 1.0))
    assert not pace.is_old(b"= 50"), "once it is confirmed"


@pytest.mark.parametrize("name", sorted(instruments()))
@pytest.mark.parametrize("off_s", [-0.08, -0.04, 0.0, 0.04, 0.06])
def test_a_copy_that_comes_when_the_right_answer_is_lost_is_not_believed(name: str, off_s: float) -> None:
    """The copy of patch 1's last answer comes just when the first of patch 2 is due (0.2 + 1 s), and that is lost."""
    opening = {"scpi-colorimeter": 4, "plain-lines": 2, "no resync question": 1, BY_CONTROL: 1}[name]
    for before in range(opening, opening + 6):
        fates = [*[Fate()] * before, Fate("twice", 1.2 + off_s), Fate("lost")]
        assert tally_of(*instruments()[name], fates).mispaired == 0
