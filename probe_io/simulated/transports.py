"""What carries a simulated instrument's bytes: a loopback socket anywhere, a pseudo-terminal on POSIX."""

from __future__ import annotations

import os
import select
import socket
from typing import Protocol


class Transport(Protocol):
    """One end of a line."""

    url: str
    """What a client opens."""
    fresh: bool
    """True after somebody new has come on the line; the server sets it back."""

    def receive(self, wait_s: float) -> bytes:
        """Return bytes that have come, or nothing after ``wait_s``."""
        ...

    def send(self, data: bytes) -> None:
        """Send bytes; silently lost when nobody listens."""
        ...

    def hang_up(self) -> None:
        """Drop the client."""
        ...

    def close(self) -> None:
        """Give everything back."""
        ...


class TcpTransport:
    """A server socket on the loopback interface, one client at a time."""

    def __init__(self, port: int = 0) -> None:
        self._listener = socket.create_server(("127.0.0.1", port))
        self._client: socket.socket | None = None
        self.fresh = False
        self.url = f"socket://127.0.0.1:{self._listener.getsockname()[1]}"

    def receive(self, wait_s: float) -> bytes:
        """Return bytes from the client; accept one when there is none."""
        watched = [self._listener] if self._client is None else [self._listener, self._client]
        ready, _, _ = select.select(watched, [], [], wait_s)
        data = b""
        if self._client is not None and self._client in ready:
            try:
                data = self._client.recv(4096)
            except OSError:
                data = b""
            if not data:
                self.hang_up()
        if self._listener in ready:
            self._accept()
        return data

    def _accept(self) -> None:
        client, _ = self._listener.accept()
        if self._client is not None:
            client.close()  # an instrument has one plug
            return
        client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._client = client
        self.fresh = True

    def send(self, data: bytes) -> None:
        """Send to the client, if there is one."""
        if self._client is None:
            return
        try:
            self._client.sendall(data)
        except OSError:
            self.hang_up()

    def hang_up(self) -> None:
        """Close the client's connection; the next one may come."""
        if self._client is not None:
            self._client.close()
            self._client = None

    def close(self) -> None:
        """Close both sockets."""
        self.hang_up()
        self._listener.close()


class PtyTransport:
    """A pseudo-terminal; its slave end looks like a serial port."""

    def __init__(self) -> None:
        import tty  # POSIX only

        self._master, self._slave = os.openpty()
        # Raw before the first byte: else the line discipline sends the instrument its own output back.
        tty.setraw(self._slave)
        self._open = True
        self.fresh = False
        self.url = os.ttyname(self._slave)

    def receive(self, wait_s: float) -> bytes:
        """Return bytes written to the slave end."""
        if not self._open:
            select.select([], [], [], wait_s)
            return b""
        ready, _, _ = select.select([self._master], [], [], wait_s)
        return os.read(self._master, 4096) if ready else b""

    def send(self, data: bytes) -> None:
        """Write to the slave end."""
        if self._open:
            os.write(self._master, data)

    def hang_up(self) -> None:
        """Let the port vanish, as a pulled adapter does."""
        if self._open:
            self._open = False
            os.close(self._master)
            os.close(self._slave)

    def close(self) -> None:
        """Close both ends."""
        self.hang_up()
