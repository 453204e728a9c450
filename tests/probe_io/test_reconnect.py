"""A meter whose cable was pulled is found again, on its own link or another, and no other instrument is disturbed."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import ExitStack

import pytest

from probe_io.errors import LinkError, Unplugged
from probe_io.instrument_file import find
from probe_io.link import Port
from probe_io.reading import ProbeIdentity, Reading
from probe_io.reconnect import Finder, open_beside
from probe_io.serial_probe import SerialProbe
from probe_io.simulated import serve, steady

LIGHT = steady(95.0, 100.0, 108.0)
OWN = Port("/dev/ttyUSB0", "adapter", "A1", "USB VID:PID=1:2 SER=A1")
PRINTER = Port("/dev/ttyUSB1", "printer", "", "USB VID:PID=9:9")


def finder(before: tuple[Port, ...], now: tuple[Port, ...], url: str = OWN.name) -> Finder:
    listed = iter((before, now))
    return Finder(SerialProbe(find("plain-lines"), url), lambda: next(listed))


def moved(name: str, serial: str = "", hardware: str = "n/a") -> Port:
    return Port(name, "", serial, hardware)


@pytest.mark.parametrize(
    ("now", "links"),
    [
        ((OWN, PRINTER), (OWN.name,)),
        ((PRINTER,), (OWN.name,)),
        ((PRINTER, moved("/dev/ttyUSB2", "A1")), (OWN.name, "/dev/ttyUSB2")),
        ((PRINTER, moved("/dev/ttyUSB2")), (OWN.name, "/dev/ttyUSB2")),
        ((PRINTER, moved("/dev/ttyACM0"), moved("/dev/ttyUSB2", "A1")), (OWN.name, "/dev/ttyUSB2", "/dev/ttyACM0")),
    ],
    ids=["still there", "gone", "the same adapter", "a new port", "the same adapter first"],
)
def test_its_own_link_the_same_adapter_and_new_ports_are_tried(now: tuple[Port, ...], links: tuple[str, ...]) -> None:
    assert finder((OWN, PRINTER), now).links() == links


def test_a_port_that_was_there_all_along_is_left_alone() -> None:
    twin = Port("/dev/ttyUSB7", "adapter", "", OWN.hardware)
    assert finder((moved(OWN.name, "", OWN.hardware), twin), (twin,)).links() == (OWN.name,)


def test_a_network_link_is_tried_again_and_no_port() -> None:
    assert finder((), (PRINTER,), "socket://localhost:5025").links() == ("socket://localhost:5025",)


@pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals need POSIX")
def test_a_meter_that_comes_back_under_another_name_is_read_on() -> None:
    there: list[Port] = []
    with ExitStack() as first, serve("scpi-colorimeter", LIGHT, "pty", dwell=False, serial="0042") as second:
        server = first.enter_context(serve("scpi-colorimeter", LIGHT, "pty", dwell=False, serial="0042"))
        probe = SerialProbe(find("scpi-colorimeter"), server.url)
        probe.open()
        there.append(moved(server.url))
        found = Finder(probe, lambda: tuple(there))
        first.close()
        with pytest.raises(Unplugged):
            probe.measure()
        there[:] = [moved(second.url)]
        links = found.links()
        assert links == (server.url, second.url)
        with pytest.raises(LinkError):
            found.open(links[0], lambda: None)
        assert found.open(links[1], lambda: None).serial == "0042"
        found.found_on(second.url)
        assert probe.measure().Y_cd_m2 == 100.0
        assert found.links() == (second.url,)
        probe.close()


class _Slow:
    """A probe whose opening hangs until it is let go."""

    def __init__(self, let_go: Callable[[], bool]) -> None:
        self._let_go = let_go
        self.closed = 0

    def open(self) -> ProbeIdentity:
        while not self._let_go():
            pass
        return ProbeIdentity("slow", "port")

    def measure(self, integration_s: float | None = None, idle: object = None) -> Reading:
        raise NotImplementedError

    def close(self) -> None:
        self.closed += 1


def test_the_screen_is_served_while_a_port_opens() -> None:
    beats = iter(range(1000))
    seen = [0]

    def idle() -> None:
        seen[0] = next(beats)

    assert open_beside(_Slow(lambda: seen[0] >= 3), idle).instrument == "slow"


def test_what_ends_the_wait_does_not_wait_for_the_port() -> None:
    go: list[bool] = []

    def idle() -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        open_beside(_Slow(lambda: bool(go)), idle)
    go.append(True)
