import time

import pytest
import serial

from probe_io import link as link_module
from probe_io.errors import BadReply, CannotOpen, LinkError, NoReply, Unplugged
from probe_io.instrument import Line
from probe_io.link import Link, ports
from probe_io.simulated import Fault, ScriptServer, ScriptStep, serve, steady
from probe_io.wire import TranscriptLine, escaped
from tests.probe_io.bench import TRANSPORTS

BOTH = pytest.mark.parametrize("transport", TRANSPORTS)


def opened(server, **line):
    link = Link(server.url, Line(**line))
    link.open()
    return link


@BOTH
def test_a_line_comes_without_its_terminator_and_the_rest_is_kept(transport):
    with ScriptServer([ScriptStep(b"?", b"one\r\ntwo\r\n")], transport) as server:
        link = opened(server, end_in=b"\r\n")
        link.write(b"?")
        assert link.read_line(1.0) == b"one"
        assert link.read_line(1.0) == b"two"
        link.close()


@BOTH
def test_a_time_out_keeps_the_bytes_that_came(transport):
    with ScriptServer([ScriptStep(b"?", b"half a rep")], transport) as server:
        link = opened(server)
        link.write(b"?")
        with pytest.raises(NoReply, match="only half a rep came") as caught:
            link.read_line(0.1)
        link.close()
    assert caught.value.raw == b"half a rep"


def test_a_dripping_peer_does_not_stretch_the_time_out():
    # One byte each 60 ms: a time-out per byte would hold on for ever.
    steps = [ScriptStep(b"?", b"."), *[ScriptStep(b"?", b".", 0.06)] * 9]
    with ScriptServer(steps) as server:
        link = opened(server)
        link.write(b"?" * 10)
        with pytest.raises(NoReply) as caught:
            link.read_line(0.2)
        assert 0 < len(caught.value.raw) < 10
        link.drain(0.15)
        time.sleep(0.1)
        link.drain(0.15)
        link.close()


def test_the_screen_is_served_while_a_slow_line_drips():
    calls = []
    # One byte each 5 ms: no read ever comes back empty.
    steps = [ScriptStep(b"?", b".", 0.005)] * 60 + [ScriptStep(b"?", b"\n")]
    with ScriptServer(steps) as server:
        link = opened(server)
        link.write(b"?" * 61)
        assert link.read_line(5.0, lambda: calls.append(1)) == b"." * 60
        link.close()
    assert len(calls) >= 10


@BOTH
def test_a_flood_without_terminator_is_garbage(transport):
    with ScriptServer([ScriptStep(b"?", b"x" * 600)], transport) as server:
        link = opened(server, limit_bytes=500)
        link.write(b"?")
        with pytest.raises(BadReply, match="more than 500 bytes") as caught:
            link.read_line(1.0)
        link.close()
    assert caught.value.raw.startswith(b"xxx")


def test_a_line_that_never_falls_silent_is_an_error():
    steps = [ScriptStep(b"?", b"babble", 0.02)] * 40
    with ScriptServer(steps) as server:
        link = opened(server)
        link.write(b"?" * 40)
        with pytest.raises(BadReply, match="does not fall silent"):
            link.drain(0.1, at_most_s=0.2)
        link.drain(0.3)
        link.close()


def test_draining_lasts_until_a_late_answer_cannot_come_any_more():
    with ScriptServer([ScriptStep(b"?", b"late\n", 0.15)]) as server:
        link = opened(server)
        link.write(b"?")
        assert link.drain(0.02, until_s=time.monotonic() + 0.3) == b"late\n"
        link.close()


@pytest.mark.parametrize(
    ("url", "sentence"),
    [
        ("/dev/no-such-port", "no such port"),
        ("socket://127.0.0.1:9", "nothing answers"),
        ("carrier-pigeon://roof", "no port name or URL"),
        ("/dev/null", "cannot be opened"),
    ],
)
def test_what_cannot_be_opened_says_why(url, sentence):
    with pytest.raises(CannotOpen, match=sentence):
        Link(url, Line()).open()


def test_every_operation_on_a_vanished_port_is_unplugged():
    for operation in (
        lambda k: k.read_line(0.5),
        lambda k: k.drain(0.1),
        lambda k: k.has_stale,
        lambda k: k.write(b"?"),
    ):
        with ScriptServer([], "pty") as server:
            link = opened(server)
            server.hang_up()
            with pytest.raises(Unplugged):
                operation(link)
            link.close()


def test_an_operation_on_a_closed_link_says_so():
    link = Link("/dev/null", Line())
    link.close()
    for operation in (lambda: link.read_line(0.1), lambda: link.write(b"?"), lambda: link.has_stale):
        with pytest.raises(LinkError, match="not open"):
            operation()


def test_line_settings_reach_the_port_and_the_lines_are_set_before_opening():
    with ScriptServer([], "pty") as server:
        line = Line(baud=4800, bits=7, parity="even", stop=2, flow="xon-xoff", dtr=False, rts=False)
        link = Link(server.url, line)
        link.open()
        port = link._port
        # A pseudo-terminal drops parity and bits in silence, so the port object is asked.
        found = (
            port.baudrate,
            port.bytesize,
            port.parity,
            port.stopbits,
            port.xonxoff,
            port.rtscts,
            port.dtr,
            port.rts,
        )
        assert found == (4800, 7, serial.PARITY_EVEN, 2, True, False, False, False)
        assert port.exclusive
        link.close()


def test_a_stuck_write_is_not_taken_for_an_unplugged_cable():
    with serve("plain-lines", steady(1.0, 1.0, 1.0), "pty", [Fault("delay", seconds=0.5)], dwell=False) as server:
        link = opened(server)
        link.write(b"M")
        link._port.write_timeout = 0.05
        with pytest.raises(LinkError, match="flow control") as caught:
            link.write(b"x" * 1_000_000)
        assert not isinstance(caught.value, Unplugged)
        link.close()


def test_every_error_a_port_can_raise_is_caught():
    # termios.error is no OSError, and flushing a vanished port raises it (measured).
    import termios

    for kind in (serial.SerialException, serial.PortNotOpenError, OSError, termios.error):
        assert issubclass(kind, link_module.PORT_ERRORS)


def test_the_transcript_tells_sent_received_and_thrown_away():
    lines = []
    with ScriptServer([ScriptStep(b"?", b"one\ntwo\n")]) as server:
        link = Link(server.url, Line(), lines.append)
        link.open()
        link.write(b"?")
        link.read_line(1.0)
        link.drain(0.05)
        link.close()
    assert (lines[0].direction, lines[0].data) == (">", b"?")
    assert b"".join(line.data for line in lines if line.direction != ">") == b"one\ntwo\n"
    assert str(TranscriptLine(1.5, "<", b"A\r\n")) == "      1.500000 < 41 0d 0a  |  A\\r\\n"


def test_long_bytes_are_shortened_for_people():
    assert escaped(b"x" * 100, 10) == "xxxxxxxxxx… (100 bytes)"


def test_ports_are_listed_with_a_description():
    assert all(port.name and isinstance(port.description, str) for port in ports())


@pytest.mark.parametrize("scheme", ["spy", "SPY", "hwgrep", "alt", "cp2110", "loop"])
def test_a_link_that_could_write_a_file_or_search_ports_is_not_opened(tmp_path, scheme):
    kept = tmp_path / "kept.txt"
    kept.write_text("dear", encoding="utf-8")
    with pytest.raises(CannotOpen, match="no port name or URL that is opened"):
        Link(f"{scheme}:///dev/ttyS0?file={kept}&(", Line()).open()
    assert kept.read_text(encoding="utf-8") == "dear"
