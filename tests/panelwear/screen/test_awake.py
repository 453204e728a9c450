"""Screen saver, blanking and notifications are held off as long as a run stands, and a refusal is said."""

from __future__ import annotations

import struct
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from panelwear.screen.awake import Awake
from panelwear.screen.session_bus import (
    BUS,
    CALL,
    ERROR,
    BusError,
    Message,
    SessionBus,
    decode,
    encode,
)
from panelwear.screen.xconnection import XConnection
from tests.screens import need, xvfb

CONFIG = """<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>session</type><listen>unix:path={path}</listen><auth>EXTERNAL</auth>
<policy context="default"><allow send_destination="*" eavesdrop="true"/><allow eavesdrop="true"/><allow own="*"/>
</policy>
</busconfig>"""


@pytest.fixture
def bus(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    need("dbus-daemon")
    config = tmp_path / "bus.conf"
    config.write_text(CONFIG.format(path=tmp_path / "bus"), encoding="utf-8")
    command = ["dbus-daemon", f"--config-file={config}", "--print-address", "--nofork", "--nopidfile"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    address = process.stdout.readline().strip()
    monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", address)
    yield address
    process.terminate()
    process.wait()
    process.stdout.close()


@contextmanager
def desktop(*names: str, refuses: bool = False) -> Iterator[list[Message]]:
    """Own names on the bus and answer every call, or refuse it; yields the calls."""
    service = SessionBus()
    for name in names:
        service.call(BUS, "/org/freedesktop/DBus", BUS, "RequestName", name, 0, signature=("s", "u"))
    calls: list[Message] = []

    def serve() -> None:
        while True:
            try:
                got = service.receive()
            except (OSError, BusError):
                return
            if got.kind != CALL:
                continue
            calls.append(got)
            if refuses:
                fields = {4: "org.example.Error.No", 5: got.serial, 6: got.fields[7]}
                service.send(ERROR, fields, ("not now",), ("s",))
            else:
                service.answer(got, (77,), ("u",))

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    yield calls
    service._socket.shutdown(2)
    service.close()
    thread.join(10)


SERVICES = ("org.freedesktop.ScreenSaver", "org.freedesktop.Notifications")


def test_the_desktop_is_asked_to_hold_both_off_and_the_asking_lasts_as_long_as_the_run(bus: str) -> None:
    with desktop(*SERVICES) as calls:
        held = Awake("wayland")
        assert held.refused == []
        assert [(call.fields[2], call.member, call.values[0]) for call in calls] == [
            ("org.freedesktop.ScreenSaver", "Inhibit", "panelwear"),
            ("org.freedesktop.Notifications", "Inhibit", "panelwear"),
        ]
        sender = calls[0].fields[7]
        assert has_name(sender)
        held.close()
        held.close()
        assert not has_name(sender)


def has_name(name: str) -> bool:
    asking = SessionBus()
    try:
        asking.call(BUS, "/org/freedesktop/DBus", BUS, "GetNameOwner", name, signature=("s",))
    except BusError:
        return False
    finally:
        asking.close()
    return True


def test_a_desktop_that_refuses_is_told_of_in_a_sentence_each(bus: str) -> None:
    with desktop(*SERVICES, refuses=True):
        held = Awake("wayland")
    held.close()
    saver, notes = held.refused
    assert "switch both off by hand" in saver and "not now" in saver
    assert "do not disturb" in notes


def test_a_bus_with_nobody_on_it_says_that_the_screen_may_blank(bus: str) -> None:
    held = Awake("wayland")
    held.close()
    assert len(held.refused) == 1
    assert "may blank" in held.refused[0]


def test_without_a_bus_and_without_x_it_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", "unix:path=/nowhere/bus")
    assert len(Awake("wayland").refused) == 1
    assert Awake("dummy").refused == []


def saver_is_on(x: XConnection) -> bool:
    reply = x.ask(1, struct.pack("=I", x.root.window), extension="MIT-SCREEN-SAVER")
    assert reply is not None
    return reply[1] == 1


@pytest.mark.screen
def test_the_x_servers_own_saver_is_suspended_as_long_as_the_run_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    """The saver of another server, with the same time and set later, tells when the time is over."""
    monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", "")
    one_second = struct.pack("=hhBBH", 1, 0, 1, 1, 0)
    with xvfb(320, 200) as display, xvfb(320, 200) as other:
        monkeypatch.setenv("DISPLAY", display.name)
        held = Awake("x11")
        assert held.refused == []
        here, there = XConnection(display.name), XConnection(other.name)
        for x in (here, there):
            assert not saver_is_on(x)
            x.tell(107, one_second)  # SetScreenSaver
        while not saver_is_on(there):
            time.sleep(0.05)
        assert not saver_is_on(here)
        held.close()
        while not saver_is_on(here):  # let go, it comes up again
            time.sleep(0.05)
        here.close()
        there.close()


def test_a_message_comes_back_as_it_was_sent() -> None:
    sent = Message(CALL, 7, {1: "/a", 2: "b.c", 3: "Do", 6: "d.e"}, ("harbour", 5, "desk"))
    got = decode(encode(sent, ("s", "u", "s")))
    assert (got.kind, got.serial, got.member, got.values) == (CALL, 7, "Do", ("harbour", 5, "desk"))


@pytest.mark.parametrize("data", [b"", b"x" * 40, encode(Message(CALL, 1, {1: "/a"}))[:20]])
def test_what_is_no_message_is_refused(data: bytes) -> None:
    with pytest.raises(BusError):
        decode(data)
