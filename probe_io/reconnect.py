"""Find a meter again whose cable was pulled: on its own link, or under another port name of the same adapter."""

from __future__ import annotations

import threading
from collections.abc import Callable

from probe_io.errors import Cancelled, LinkError
from probe_io.link import Port, ports
from probe_io.reading import Idle, Probe, ProbeIdentity
from probe_io.serial_probe import SerialProbe

LOOK_S = 0.02
"""How often the caller is heard while a port is opened."""
NOT_HARDWARE = ("", "n/a")
"""What systems write of a port of which they know no hardware."""


class Finder:
    """Where a probe may be found again.

    Only its own link and ports that cannot be another instrument's are tried: those of the same adapter, and those
    that were not there when the run began. A port that was there all along belongs to something else, which a strange
    question might disturb.

    Args:
        probe: The open probe.
        listed: Lists the serial ports.
    """

    def __init__(self, probe: Probe, listed: Callable[[], tuple[Port, ...]] = ports) -> None:
        self._probe = probe
        self._listed = listed
        self.home = probe.url if isinstance(probe, SerialProbe) else ""
        """The link on which the meter answered last; empty where the probe has no port."""
        there = listed() if self._has_port else ()
        self._known = {port.name for port in there}
        self._own = next((port for port in there if port.name == self.home), None)

    @property
    def _has_port(self) -> bool:
        return bool(self.home) and "://" not in self.home

    def links(self) -> tuple[str, ...]:
        """Return the links to try, the probe's own first."""
        if not self._has_port:
            return (self.home,)
        others = [port for port in self._listed() if port.name != self.home]
        same = [port.name for port in others if self._is_own_adapter(port)]
        new = [port.name for port in others if port.name not in self._known]
        return tuple(dict.fromkeys([self.home, *same, *new]))

    def found_on(self, link: str) -> None:
        """Hear that the meter answers there from now on."""
        self.home = link

    def _is_own_adapter(self, port: Port) -> bool:
        own = self._own
        if own is None:
            return False
        if own.serial_number:
            return port.serial_number == own.serial_number
        return port.hardware == own.hardware and port.hardware not in NOT_HARDWARE and port.name not in self._known

    def open(self, link: str, idle: Idle) -> ProbeIdentity:
        """Open the probe on a link of ``links``; ``idle`` is called meanwhile, and what it raises ends the wait.

        Raises:
            ProbeError: nothing, or something else, answers there.
        """
        self._probe.close()
        if isinstance(self._probe, SerialProbe) and link != self._probe.url:
            self._probe.move_to(link)
        return open_beside(self._probe, idle)


def open_beside(probe: Probe, idle: Idle) -> ProbeIdentity:
    """Open a probe in a thread of its own: a network address may keep the system busy for seconds.

    Args:
        probe: It is closed.
        idle: Called every 20 ms; what it raises ends the wait at once, and the opening is given up.
    """
    opening = _Opening(probe)
    try:
        while not opening.done.wait(LOOK_S):
            idle()
    except BaseException:
        opening.given_up.set()
        raise
    return opening.result()


class _Opening:
    def __init__(self, probe: Probe) -> None:
        self.done, self.given_up = threading.Event(), threading.Event()
        self._probe = probe
        self._identity: ProbeIdentity | None = None
        self._error: BaseException | None = None
        threading.Thread(target=self._run, name="opens-the-probe", daemon=True).start()

    def result(self) -> ProbeIdentity:
        if self._error is not None:
            raise self._error
        if self._identity is None:
            raise LinkError("the probe could not be opened")
        return self._identity

    def _run(self) -> None:
        try:
            probe = self._probe
            self._identity = probe.open(self._go_on) if isinstance(probe, SerialProbe) else probe.open()
        except BaseException as error:
            self._error = error
        finally:
            if self.given_up.is_set():
                self._probe.close()
            self.done.set()

    def _go_on(self) -> None:
        if self.given_up.is_set():
            raise Cancelled("the opening was given up")
