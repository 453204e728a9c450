"""A simulated instrument that answers real bytes, in its own thread."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterable
from types import TracebackType

from probe_io.simulated.dialects import DIALECTS, Answer, Dialect, LightSource
from probe_io.simulated.faults import Fault, FaultPlan
from probe_io.simulated.transports import PtyTransport, TcpTransport, Transport

LOOK_S = 0.02
GARBAGE = b"\x00\xff\x7f#~garbled~\xfe"


class ProbeServer:
    """Serves one dialect over one transport until closed; use it as a context manager."""

    def __init__(self, dialect: Dialect, transport: Transport, faults: FaultPlan, *, dwell: bool = True) -> None:
        self.faults = faults
        self.dwell = dwell
        self.failure: BaseException | None = None
        """What the light source raised, if it did; raised again on leaving the context."""
        self._dialect = dialect
        self._transport = transport
        self._stop = threading.Event()
        self._hang_up = threading.Event()
        self._hung_up = threading.Event()
        self._thread = threading.Thread(target=self._run, name="simulated-probe", daemon=True)
        self._thread.start()

    @property
    def url(self) -> str:
        """What to give ``--probe``."""
        return self._transport.url

    def hang_up(self) -> None:
        """Drop the client at the next look, as a pulled cable does; returns when it has happened."""
        self._hang_up.set()
        self._hung_up.wait(5.0)
        self._hung_up.clear()

    def close(self) -> None:
        """Stop answering and give the port back."""
        self._stop.set()
        # Joined before anything is closed: a reused descriptor number would mix two servers' bytes.
        self._thread.join()
        self._transport.close()

    def __enter__(self) -> ProbeServer:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None) -> None:
        self.close()
        if self.failure is not None and error is None:
            raise self.failure

    def _run(self) -> None:
        try:
            while not self._stop.is_set():
                data = self._transport.receive(LOOK_S)
                if self._hang_up.is_set():
                    self._transport.hang_up()
                    self._hang_up.clear()
                    self._hung_up.set()
                    continue
                if self._transport.fresh:
                    self._transport.fresh = False
                    self._dialect.reset()
                if data:
                    self._answer(data)
        except Exception as error:
            self.failure = error
            self._transport.hang_up()

    def _answer(self, data: bytes) -> None:
        began_s = time.monotonic()
        for answer in self._dialect.receive(data):
            fault = answer.fault
            late_s = fault.seconds if fault is not None and fault.kind == "delay" else 0.0
            due_s = began_s + (answer.integration_s if self.dwell else 0.0) + late_s
            if self._stop.wait(max(0.0, due_s - time.monotonic())):
                return
            self._give(answer, "" if fault is None else fault.kind)
            began_s = time.monotonic()

    def _give(self, answer: Answer, fault: str) -> None:
        if fault == "silence":
            return
        if fault == "disconnect":
            self._transport.send(answer.data[: len(answer.data) // 2])
            self._transport.hang_up()
        elif fault == "half":
            self._transport.send(answer.data[: len(answer.data) // 2])
        elif fault == "garbage":
            self._transport.send(GARBAGE + answer.data[-2:].lstrip(b"0123456789"))
        else:
            self._transport.send(answer.data)


def serve(
    dialect: str,
    source: LightSource,
    transport: str = "tcp",
    faults: Iterable[Fault] = (),
    *,
    dwell: bool = True,
    port: int = 0,
    serial: str = "0",
) -> ProbeServer:
    """Start a simulated instrument and return its server, a context manager with ``url``.

    Args:
        dialect: Name of a shipped instrument file.
        source: The light it sees; called in the server's thread, once a measurement.
        transport: ``tcp`` (loopback, anywhere) or ``pty`` (POSIX).
        faults: What goes wrong and when; more may be added through ``server.faults``.
        dwell: Whether the integration time is really waited for.
        port: TCP port; 0 takes a free one.
        serial: Serial number it introduces itself with.
    """
    if dialect not in DIALECTS:
        raise ValueError(f"there is no dialect {dialect!r}; known are {', '.join(DIALECTS)}")
    if transport not in {"tcp", "pty"}:
        raise ValueError(f"there is no transport {transport!r}; known are tcp and pty")
    if not 0 <= port <= 65535:
        raise ValueError(f"there is no port {port}; wanted 0 to 65535")
    plan = FaultPlan(faults, serial)
    carrier: Transport = TcpTransport(port) if transport == "tcp" else PtyTransport()
    return ProbeServer(DIALECTS[dialect](source, plan), carrier, plan, dwell=dwell)
