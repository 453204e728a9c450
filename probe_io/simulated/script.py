"""An instrument that follows a script: exact bytes in, given bytes out; a script must be used up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from types import TracebackType

from probe_io.simulated.dialects import Answer
from probe_io.simulated.faults import FaultPlan
from probe_io.simulated.server import ProbeServer
from probe_io.simulated.transports import PtyTransport, TcpTransport


class ScriptError(Exception):
    """The exchange did not go as the script says."""


@dataclass(frozen=True, slots=True)
class ScriptStep:
    """One exchange: the bytes that must come, and the bytes that go back after ``after_s``."""

    wanted: bytes
    reply: bytes = b""
    after_s: float = 0.0


class Script:
    """A dialect made of steps."""

    def __init__(self, steps: Iterable[ScriptStep]) -> None:
        self._left = list(steps)
        self._came = bytearray()
        self._surprise = b""

    def reset(self) -> None:
        """Keep the place: a script may span several connections."""

    def receive(self, data: bytes) -> Iterator[Answer]:
        """Follow the script as far as the bytes reach; after a surprise nothing is answered any more."""
        self._came += data
        while self._came and not self._surprise:
            wanted = self._left[0].wanted if self._left else b""
            if wanted and self._came.startswith(wanted):
                del self._came[: len(wanted)]
                step = self._left.pop(0)
                if step.reply:
                    yield Answer(step.reply, step.after_s)
            elif wanted and wanted.startswith(bytes(self._came)):
                return
            else:
                self._surprise = bytes(self._came)

    def finish(self) -> None:
        """Raise ``ScriptError`` unless everything happened, and nothing else."""
        if self._surprise:
            wanted = repr(self._left[0].wanted) if self._left else "nothing more"
            raise ScriptError(f"{self._surprise!r} came where the script wants {wanted}")
        if self._came:
            raise ScriptError(f"{bytes(self._came)!r} came and is no whole command of the script")
        if self._left:
            raise ScriptError(f"{len(self._left)} steps never happened; the next wants {self._left[0].wanted!r}")


class ScriptServer(ProbeServer):
    """Plays a script to one link, and checks on leaving that it was used up."""

    def __init__(self, steps: Iterable[ScriptStep], transport: str = "tcp") -> None:
        self._script = Script(steps)
        super().__init__(self._script, TcpTransport() if transport == "tcp" else PtyTransport(), FaultPlan())

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        super().__exit__(kind, error, trace)
        if error is None:
            self._script.finish()
