"""The two shipped dialects, spoken from the instrument's side, and the light they measure. No transport, no clock."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import cycle
from typing import Protocol

from probe_io.simulated.faults import Fault, FaultPlan

LightSource = Callable[[float], tuple[float, float, float]]
"""Integration time in s → X, Y, Z in cd/m². Called in the server's thread, once a measurement."""

WHITE_D65 = (95.047, 100.0, 108.883)
"""CIE standard illuminant D65, 2° observer, scaled to 100 cd/m² (CIE 15)."""


def steady(X: float, Y: float, Z: float) -> LightSource:
    """Give the same light for ever, in cd/m²."""
    return lambda _integration_s: (X, Y, Z)


def listed(values: Iterable[tuple[float, float, float]]) -> LightSource:
    """Give one (X, Y, Z) in cd/m² after the other, from the beginning again when they are used up."""
    following = cycle(tuple(values))
    return lambda _integration_s: next(following)


SIMULATED_MODEL = "SIMULATED"
LOW_LIGHT_CD_M2 = 0.005
HIGH_LIGHT_CD_M2 = 20000.0


@dataclass(frozen=True, slots=True)
class Answer:
    """What goes back, and after which integration time."""

    data: bytes
    integration_s: float = 0.0
    fault: Fault | None = None
    """What the transport does to it."""


class Dialect(Protocol):
    """An instrument as seen from its socket."""

    def receive(self, data: bytes) -> Iterator[Answer]:
        """Take some bytes, which may end anywhere, and give the answers they lead to."""
        ...

    def reset(self) -> None:
        """Forget a half-received command: somebody else is on the line."""
        ...


def _state(XYZ: tuple[float, float, float], fault: Fault | None, *, chromaticity: bool) -> str:
    if fault is not None and fault.kind in {"over-range", "low-light", "busy", "broken"}:
        return fault.kind
    if max(XYZ) > HIGH_LIGHT_CD_M2:
        return "over-range"
    if chromaticity and (XYZ[1] < LOW_LIGHT_CD_M2 or min(XYZ) < 0.0):
        return "low-light"
    return "ok"


class ScpiDialect:
    """IEEE 488.2 / SCPI: newline-ended lines, ';' between units, short and long mnemonics, an error queue."""

    QUEUE_LENGTH = 16

    def __init__(self, source: LightSource, faults: FaultPlan) -> None:
        self._source = source
        self._faults = faults
        self._line = bytearray()
        self._integration_s = 1.0
        self._averages = 1
        self._queue: deque[str] = deque()

    def reset(self) -> None:
        """Forget a half-received line."""
        self._line.clear()

    def receive(self, data: bytes) -> Iterator[Answer]:
        """Answer each line that is complete."""
        self._line += data
        while (at := self._line.find(b"\n")) >= 0:
            text = self._line[:at].decode("ascii", errors="replace")
            del self._line[: at + 1]
            for unit in text.split(";"):
                if unit.strip():
                    yield from self._unit(unit.strip().removeprefix(":"))

    def _unit(self, unit: str) -> Iterator[Answer]:
        header, _, argument = unit.partition(" ")
        name = "*" + header[1:].upper() if header.startswith("*") else _short_form(header)
        simple: dict[str, Callable[[], str]] = {
            "*IDN?": self._identity,
            "*OPC?": lambda: "1",
            "*ESR?": lambda: "0",
            "*TST?": lambda: "0",
            "SYST:ERR?": self._error,
            "SENS:INT?": lambda: f"{self._integration_s:.6E}",
            "SENS:AVER?": lambda: str(self._averages),
        }
        if name in simple:
            yield Answer(simple[name]().encode("ascii") + b"\n")
        elif name == "READ:XYZ?":
            yield self._measure()
        elif name in {"*CLS", "*RST"}:
            self._queue.clear()
            if name == "*RST":
                self._integration_s, self._averages = 1.0, 1
        elif name in {"SENS:INT", "SENS:AVER"}:
            self._set(name, argument)
        else:
            self._complain('-113,"Undefined header"')

    def _identity(self) -> str:
        known = f"PANELWEAR,{SIMULATED_MODEL},{self._faults.serial},1"
        return "something else entirely" if self._faults.wrong_identity else known

    def _error(self) -> str:
        return self._queue.popleft() if self._queue else '0,"No error"'

    def _complain(self, item: str) -> None:
        if len(self._queue) < self.QUEUE_LENGTH:
            self._queue.append(item)
        else:
            self._queue[-1] = '-350,"Queue overflow"'

    def _set(self, name: str, argument: str) -> None:
        try:
            value = float(argument)
        except ValueError:
            self._complain('-104,"Data type error"')
            return
        if name == "SENS:INT" and 0.0 < value <= 60.0:
            self._integration_s = value
        elif name == "SENS:AVER" and 1 <= value <= 100:
            self._averages = int(value)
        else:
            self._complain('-222,"Data out of range"')

    def _measure(self) -> Answer:
        fault = self._faults.next()
        integration_s = self._integration_s * self._averages
        XYZ = self._source(integration_s)
        state = _state(XYZ, fault, chromaticity=False)
        if state == "broken":
            return Answer(b'-240,"Hardware error"\n', fault=fault)
        if state == "busy":
            # SCPI has no such reply: a result that belongs to an aborted measurement is not a number.
            return Answer(b'-200,"Execution error"\n', fault=fault)
        if state == "over-range":
            XYZ = (9.9e37, 9.9e37, 9.9e37)
        status = 1 if state == "low-light" else 0
        numbers = ",".join(f"{value:+.6E}" for value in (*XYZ, integration_s))
        return Answer(f"{numbers},{status}\n".encode("ascii"), integration_s, fault)


def _short_form(header: str) -> str:
    long_forms = {"SYSTEM": "SYST", "ERROR": "ERR", "SENSE": "SENS", "INTEGRATION": "INT", "AVERAGE": "AVER"}
    question = "?" if header.endswith("?") else ""
    nodes = [long_forms.get(node, node) for node in header.rstrip("?").upper().split(":")]
    if nodes[-1] == "NEXT":
        nodes = nodes[:-1]
    return ":".join(nodes) + question


class PlainDialect:
    """One character asks, one line answers: ``?`` identity, ``M`` measure, escape drops what was asked."""

    INTEGRATION_S = 1.0

    def __init__(self, source: LightSource, faults: FaultPlan) -> None:
        self._source = source
        self._faults = faults

    def reset(self) -> None:
        """Nothing is ever half received."""

    def receive(self, data: bytes) -> Iterator[Answer]:
        """Answer each character."""
        for char in data:
            if char == ord("?"):
                known = f"PLAIN-LINES {SIMULATED_MODEL} {self._faults.serial} 1"
                words = "SOMETHING-ELSE" if self._faults.wrong_identity else known
                yield Answer(f"{words}\r\n".encode("ascii"))
            elif char == ord("M"):
                yield self._measure()
            elif char not in b"\x1b\r\n":
                yield Answer(b"! 8\r\n")

    def _measure(self) -> Answer:
        fault = self._faults.next()
        XYZ = self._source(self.INTEGRATION_S)
        state = _state(XYZ, fault, chromaticity=True)
        X, Y, Z = XYZ
        if state == "ok":
            total = X + Y + Z
            text = f"= {Y:.5g} {X / total:.5f} {Y / total:.5f}"
        elif state == "low-light":
            text = f"! 2 {Y:.5f}"
        else:
            text = {"over-range": "! 1", "busy": "! 3"}.get(state, "! 9")
        return Answer(text.encode("ascii") + b"\r\n", self.INTEGRATION_S, fault)


DIALECTS: dict[str, type[ScpiDialect] | type[PlainDialect]] = {
    "scpi-colorimeter": ScpiDialect,
    "plain-lines": PlainDialect,
}
"""Name of the shipped instrument file → the instrument's side of it."""
