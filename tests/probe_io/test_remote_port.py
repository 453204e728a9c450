"""A remote serial port: pyserial's own RFC 2217 server in front of a simulated meter on a socket."""

import socket
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest
import serial
from serial.rfc2217 import PortManager

from probe_io.serial_probe import SerialProbe
from probe_io.simulated import Fault, serve
from tests.probe_io.bench import DIALECTS, Counting, quick


class _Client:
    """Where the server writes to."""

    def __init__(self, client: socket.socket) -> None:
        self.write = client.sendall


def _forward(port: serial.Serial, client: socket.socket, stop: threading.Event) -> None:
    manager = PortManager(port, _Client(client))
    client.settimeout(0.0005)
    while not stop.is_set():
        if waiting := port.in_waiting:
            client.sendall(b"".join(manager.escape(port.read(waiting))))
        try:
            data = client.recv(1024)
        except TimeoutError:
            continue
        except OSError:
            return
        if not data:
            return
        port.write(b"".join(manager.filter(data)))


@contextmanager
def remote(local: str) -> Iterator[str]:
    """Offer a local port as a remote one, to one client; not a pseudo-terminal, which has no modem lines."""
    stop = threading.Event()
    with (
        socket.create_server(("127.0.0.1", 0)) as listener,
        closing(serial.serial_for_url(local, timeout=0)) as port,
    ):

        def run() -> None:
            client, _ = listener.accept()
            with client:
                _forward(port, client, stop)

        thread = threading.Thread(target=run, daemon=True)
        thread.start()
        try:
            yield f"rfc2217://127.0.0.1:{listener.getsockname()[1]}"
        finally:
            stop.set()
            thread.join(2.0)


# pyserial's client sets its reading thread up in a way that Python calls old.
@pytest.mark.filterwarnings("ignore:set(Daemon|Name):DeprecationWarning")
@pytest.mark.parametrize("dialect", DIALECTS)
def test_a_meter_behind_a_remote_serial_port_is_read(dialect):
    with serve(dialect, Counting(), "tcp", [Fault("silence", at=2)], dwell=False) as server, remote(server.url) as url:
        probe = SerialProbe(quick(dialect), url)
        assert probe.open().model == "SIMULATED"
        first, second = probe.measure(), probe.measure()
        probe.close()
    assert first.Y_cd_m2 == pytest.approx(100.0)
    assert (second.Y_cd_m2, second.flags) == (pytest.approx(300.0), ("retried",))
