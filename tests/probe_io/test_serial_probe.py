"""Both shipped instrument files against the simulated instrument, over a real socket and a real pseudo-terminal."""

from dataclasses import replace

import pytest

from probe_io.errors import BadReply, CannotOpen, InstrumentStopped, LinkError, NoReply, Unplugged, WrongIdentity
from probe_io.serial_probe import SerialProbe
from probe_io.simulated import Fault, ProbeServer, serve, steady
from probe_io.simulated.dialects import Answer
from probe_io.simulated.faults import FaultPlan
from probe_io.simulated.transports import TcpTransport
from tests.probe_io.bench import DIALECTS, TRANSPORTS, Counting, quick

EVERYWHERE = pytest.mark.parametrize(("dialect", "transport"), [(d, t) for d in DIALECTS for t in TRANSPORTS])


@EVERYWHERE
def test_a_shipped_file_and_its_server_agree_on_the_light(dialect, transport):
    with serve(dialect, steady(95.047, 100.0, 108.883), transport, dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        identity = probe.open()
        reading = probe.measure()
        probe.close()
    assert (identity.instrument, identity.model, identity.serial) == (dialect, "SIMULATED", "0")
    assert len(identity.instrument_sha256) == 64
    # Five significant digits of Y and five decimals of x and y travel in the plain dialect.
    assert (reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2) == pytest.approx((95.047, 100.0, 108.883), rel=1e-4)
    assert reading.flags == ()
    assert reading.raw


@EVERYWHERE
@pytest.mark.parametrize("kind", ["garbage", "half", "silence", "busy"])
def test_a_fault_that_passes_is_retried_and_said(dialect, transport, kind):
    light = Counting()
    with serve(dialect, light, transport, [Fault(kind, at=2)], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        probe.open()
        first, second, third = probe.measure(), probe.measure(), probe.measure()
        probe.close()
    assert first.Y_cd_m2 == pytest.approx(100.0)
    assert (second.Y_cd_m2, second.flags) == (pytest.approx(300.0), ("retried",))
    assert second.note
    assert (third.Y_cd_m2, third.flags) == (pytest.approx(400.0), ())


@EVERYWHERE
def test_a_late_reply_is_never_paired_with_a_new_request(dialect, transport):
    light = Counting()
    # Later than the time-out, but still on its way when the next request would be sent.
    with serve(dialect, light, transport, [Fault("delay", at=2, seconds=0.4)], dwell=False) as server:
        probe = SerialProbe(quick(dialect, times=0), server.url)
        probe.open()
        readings = [probe.measure() for _ in range(4)]
        probe.close()
    assert [r.Y_cd_m2 for r in readings] == [pytest.approx(100.0), None, pytest.approx(300.0), pytest.approx(400.0)]
    assert "no whole reply" in readings[1].note


@EVERYWHERE
def test_a_failed_reading_comes_back_with_its_reason(dialect, transport):
    with serve(dialect, Counting(), transport, [Fault("garbage", times=2)], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        probe.open()
        reading = probe.measure()
        probe.close()
    assert (reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2) == (None, None, None)
    assert "not ascii" in reading.note
    assert b"garbled" in reading.raw


@EVERYWHERE
@pytest.mark.parametrize(("kind", "error"), [("silence", NoReply), ("garbage", BadReply)])
def test_a_probe_that_fails_again_and_again_is_given_up(dialect, transport, kind, error):
    with serve(dialect, Counting(), transport, [Fault(kind, times=0)], dwell=False) as server:
        probe = SerialProbe(quick(dialect, times=0, give_up_after=2), server.url)
        probe.open()
        assert probe.measure().Y_cd_m2 is None
        with pytest.raises(error, match="2 readings in a row"):
            probe.measure()
        probe.close()


@EVERYWHERE
@pytest.mark.parametrize(("kind", "flag"), [("over-range", "over-range"), ("low-light", "low-light")])
def test_light_out_of_range_is_flagged_and_not_retried(dialect, transport, kind, flag):
    light = Counting()
    with serve(dialect, light, transport, [Fault(kind)], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        probe.open()
        reading = probe.measure()
        probe.close()
    assert reading.flags == (flag,)
    assert (reading.Y_cd_m2 is None) == (kind == "over-range")
    assert reading.note
    assert light.calls == 1


@EVERYWHERE
def test_a_broken_instrument_stops_the_run(dialect, transport):
    with serve(dialect, Counting(), transport, [Fault("broken")], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        probe.open()
        with pytest.raises(InstrumentStopped, match="the instrument reports") as caught:
            probe.measure()
        probe.close()
    assert caught.value.raw


@EVERYWHERE
def test_another_instrument_is_refused(dialect, transport):
    with serve(dialect, Counting(), transport, [Fault("wrong-identity")], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        with pytest.raises(WrongIdentity, match="another instrument answers") as caught:
            probe.open()
        probe.close()
    assert caught.value.raw


@EVERYWHERE
def test_an_unplugged_probe_is_told_from_a_slow_one_and_keeps_its_bytes(dialect, transport):
    with serve(dialect, Counting(), transport, [Fault("disconnect", at=2)], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        probe.open()
        probe.measure()
        with pytest.raises(Unplugged, match="unplugged"):
            probe.measure()
        probe.close()


@pytest.mark.parametrize("dialect", DIALECTS)
def test_after_the_cable_is_back_the_probe_opens_again(dialect):
    light = Counting()
    with serve(dialect, light, "tcp", [Fault("disconnect", at=1)], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        probe.open()
        with pytest.raises(Unplugged):
            probe.measure()
        probe.close()
        probe.open()
        assert probe.measure().Y_cd_m2 == pytest.approx(200.0)
        probe.close()


@EVERYWHERE
def test_waiting_keeps_the_screen_alive(dialect, transport):
    calls = []
    with serve(dialect, Counting(), transport, [Fault("delay", seconds=0.2)], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        probe.open()
        reading = probe.measure(idle=lambda: calls.append(1))
        probe.close()
    assert reading.flags == ()
    # 0.2 s in slices of 10 ms are 20; a busy machine may lose some of them.
    assert len(calls) >= 5


@EVERYWHERE
def test_a_cancelled_wait_leaves_no_reply_behind(dialect, transport):
    class StopNowError(Exception):
        pass

    def stop():
        raise StopNowError

    light = Counting()
    with serve(dialect, light, transport, [Fault("delay", seconds=0.15)], dwell=False) as server:
        probe = SerialProbe(quick(dialect), server.url)
        probe.open()
        with pytest.raises(StopNowError):
            probe.measure(idle=stop)
        assert probe.measure().Y_cd_m2 == pytest.approx(200.0)
        probe.close()


def test_integration_times_are_held_to_the_limits_and_said():
    with serve("scpi-colorimeter", Counting(), dwell=False) as server:
        probe = SerialProbe(quick("scpi-colorimeter"), server.url)
        probe.open()
        reading = probe.measure(5.0)
        probe.close()
    assert reading.integration_s == pytest.approx(2.0)
    assert "5 s asked, held to 2 s" in reading.note


def test_the_integration_time_is_really_waited_for_when_the_server_dwells():
    with serve("scpi-colorimeter", Counting()) as server:
        probe = SerialProbe(quick("scpi-colorimeter"), server.url)
        probe.open()
        reading = probe.measure(0.1)
        probe.close()
    assert reading.took_s >= 0.1
    assert reading.integration_s == pytest.approx(0.1)


def test_a_fast_clock_moves_on_by_the_integration_time():
    class FastClock:
        fast = True
        now = 50.0

        def monotonic_s(self):
            return self.now

        def sleep(self, seconds):
            self.now += seconds

    clock = FastClock()
    with serve("scpi-colorimeter", Counting(), dwell=False) as server:
        probe = SerialProbe(quick("scpi-colorimeter"), server.url, clock=clock)
        probe.open()
        reading = probe.measure(1.5)
        probe.close()
    assert reading.requested_at_s == 50.0
    assert reading.took_s == pytest.approx(1.5)
    assert clock.now == pytest.approx(51.5)


def test_a_command_the_instrument_does_not_know_is_final_and_quoted():
    instrument = quick("scpi-colorimeter")
    measure = replace(instrument.measure, send=replace(instrument.measure.send, parts=("READ:LAB?",)))
    with serve("scpi-colorimeter", Counting(), dwell=False) as server:
        probe = SerialProbe(replace(instrument, measure=measure), server.url)
        probe.open()
        with pytest.raises(InstrumentStopped, match="-113"):
            probe.measure()
        probe.close()


def test_a_probe_that_is_not_open_says_so():
    with pytest.raises(LinkError, match="not open"):
        SerialProbe(quick("plain-lines"), "socket://127.0.0.1:9").measure()


def test_opening_twice_is_opening_once():
    with serve("plain-lines", Counting(), dwell=False) as server:
        probe = SerialProbe(quick("plain-lines"), server.url)
        assert probe.open() is probe.open()
        probe.close()
        probe.close()


def test_a_silent_port_ends_opening_with_no_reply():
    class Deaf:
        def receive(self, data):
            yield Answer(b"")

        def reset(self):
            pass

    with ProbeServer(Deaf(), TcpTransport(), FaultPlan()) as server:
        probe = SerialProbe(quick("plain-lines", times=0), server.url)
        with pytest.raises(NoReply, match="nothing came"):
            probe.open()


def test_a_failed_opening_lets_the_port_go():
    with serve("plain-lines", Counting(), "pty", [Fault("wrong-identity")], dwell=False) as server:
        for _ in range(2):
            with pytest.raises(WrongIdentity):
                SerialProbe(quick("plain-lines"), server.url).open()


def test_two_programs_cannot_use_one_port():
    with serve("plain-lines", Counting(), "pty", dwell=False) as server:
        probe = SerialProbe(quick("plain-lines"), server.url)
        probe.open()
        with pytest.raises(CannotOpen, match="in use"):
            SerialProbe(quick("plain-lines"), server.url).open()
        probe.close()


@pytest.mark.parametrize("transport", TRANSPORTS)
def test_an_answer_later_than_the_first_resync_is_still_not_paired(transport):
    light = Counting()
    # 0.3 s time-out and 0.6 s of resync pass before anything comes.
    with serve("scpi-colorimeter", light, transport, [Fault("delay", seconds=1.1)], dwell=False) as server:
        probe = SerialProbe(quick("scpi-colorimeter", times=0, give_up_after=9), server.url)
        probe.open()
        readings = [probe.measure() for _ in range(5)]
        probe.close()
    assert readings[0].Y_cd_m2 is None
    taken = [r.Y_cd_m2 for r in readings if r.Y_cd_m2 is not None]
    # Every reading is of a measurement of its own, and the last ones are undisturbed.
    assert taken == [pytest.approx(100.0 * number) for number in range(2, 2 + len(taken))]
    assert len(taken) >= 3


def test_a_meter_that_chooses_its_time_is_not_told_one():
    with serve("plain-lines", Counting(), dwell=False) as server:
        probe = SerialProbe(quick("plain-lines"), server.url)
        probe.open()
        reading = probe.measure(5.0)
        probe.close()
    assert reading.note == ""
    assert reading.integration_s == quick("plain-lines").integration.default_s  # the meter tells none


def test_a_second_client_is_told_that_the_first_one_may_hold_the_instrument():
    with serve("scpi-colorimeter", Counting(), "tcp", dwell=False) as server:
        first, second = (SerialProbe(quick("scpi-colorimeter"), server.url) for _ in range(2))
        first.open()
        with pytest.raises(LinkError, match="or it is busy with another client"):
            second.open()
        second.close()
        assert first.measure().Y_cd_m2 == pytest.approx(100.0)
        first.close()


def test_a_pulled_serial_cable_is_not_taken_for_another_client():
    with serve("plain-lines", Counting(), "pty", [Fault("disconnect")], dwell=False) as server:
        probe = SerialProbe(quick("plain-lines"), server.url)
        probe.open()
        with pytest.raises(Unplugged) as caught:
            probe.measure()
        probe.close()
    assert "client" not in str(caught.value)


@pytest.mark.parametrize(("file", "server_dialect"), [DIALECTS[::-1], DIALECTS])
def test_an_instrument_that_does_not_know_the_question_is_given_up_with_a_hint(file, server_dialect):
    with serve(server_dialect, Counting(), "tcp", dwell=False) as server:
        probe = SerialProbe(quick(file, times=0), server.url)
        with pytest.raises((NoReply, WrongIdentity, BadReply)) as caught:
            probe.open()
        probe.close()
    assert "instrument file" in str(caught.value) or "another instrument" in str(caught.value)


def test_how_long_silence_is_borne_follows_from_the_instrument_file():
    instrument = quick("plain-lines", times=2)
    # Three waits of 0.3 s for the answer, two for one that is late, and three times 0.05 s until the line is clear.
    assert instrument.silence_s == pytest.approx(5 * 0.3 + 3 * 0.05)
