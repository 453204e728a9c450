"""From a probe URL to a probe: the one place that knows every kind there is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path

from groundwork.clock import Clock
from probe_io.errors import CannotOpen, ProbeError
from probe_io.instrument import Instrument
from probe_io.instrument_file import find
from probe_io.keyboard import KeyboardProbe
from probe_io.reading import Idle, Probe, ProbeIdentity, Reading
from probe_io.serial_probe import SerialProbe
from probe_io.simulated import WHITE_D65, Fault, LightSource, ProbeServer, serve, steady
from probe_io.wire import Record

ENTRY_POINTS = "panelwear.probes"
"""Group in which a package offers a probe with a protocol of its own, named after its URL's scheme.

The entry point is called with the URL and the instrument (or ``None``) and returns a ``Probe``.
"""


class SimulatedSerialProbe(SerialProbe):
    """A real link to a simulated instrument that lives in this process, from ``open`` to ``close``."""

    def __init__(
        self,
        instrument: Instrument,
        source: LightSource,
        *,
        faults: tuple[Fault, ...] = (),
        dwell: bool = True,
        clock: Clock | None = None,
        settings: Mapping[str, float | str] | None = None,
        record: Record | None = None,
    ) -> None:
        super().__init__(instrument, "simulated", clock=clock, settings=settings, record=record, dwells=dwell)
        self._source = source
        self._faults = faults
        self._dwell = dwell
        self.server: ProbeServer | None = None
        """The running server, between ``open`` and ``close``."""

    def open(self, idle: Idle | None = None) -> ProbeIdentity:
        """Start the instrument and open the link to it."""
        if self.server is None:
            self.server = serve(self.instrument.name, self._source, faults=self._faults, dwell=self._dwell)
            self.move_to(self.server.url)
        # The port changes from run to run and says nothing of the probe.
        return replace(super().open(idle), link="simulated")

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        """Take one reading; what the light source raised is raised here."""
        try:
            return super().measure(integration_s, idle)
        except Exception as error:
            if self.server is not None and self.server.failure is not None:
                raise self.server.failure from error
            raise

    def close(self) -> None:
        """Close the link and stop the instrument."""
        super().close()
        if self.server is not None:
            self.server.close()
            self.server = None


def open_probe(
    url: str,
    instrument: str | Path | Instrument | None = None,
    *,
    ask: Callable[[str], str] | None = None,
    before: Callable[[], float | None] = lambda: None,
    back: Callable[[], None] | None = None,
    source: LightSource | None = None,
    dwell: bool = True,
    faults: tuple[Fault, ...] = (),
    clock: Clock | None = None,
    settings: Mapping[str, float | str] | None = None,
    record: Record | None = None,
) -> Probe:
    """Make the probe that a URL names; its ``open()`` then opens the link.

    Args:
        url: A serial device or COM name, a pyserial URL, ``keyboard``, ``simulated``, or a scheme some package offers.
        instrument: Name of a shipped instrument file, path of one, or the instrument itself.
        ask: For ``keyboard``: shows a prompt and returns what was typed.
        before: For ``keyboard``: luminance of the same patch's readings so far, in cd/m².
        back: For ``keyboard``: called where ``back`` is typed in the place of a reading; what it raises goes through.
        source: For ``simulated``: the light it sees; steady D65 at 100 cd/m² when ``None``.
        dwell: For ``simulated``: whether integration times are really waited for.
        faults: For ``simulated``: what goes wrong.
        clock: Stamps the readings; the machine's when ``None``.
        settings: Values for the instrument file's settings, by name.
        record: Takes each line of the byte transcript.

    Raises:
        InstrumentFileError: The instrument file is missing or has faults.
        CannotOpen: The URL needs something that was not given.
    """
    if url == "keyboard":
        if ask is None:
            raise CannotOpen("keyboard: there is nobody to ask here; use it from a terminal or the screen")
        return KeyboardProbe(ask, clock=clock, before=before, back=back)
    scheme = url.partition(":")[0] if ":" in url else ""
    for point in entry_points(group=ENTRY_POINTS):
        if scheme and point.name == scheme:
            return _offered(point, url, _found(instrument) if instrument is not None else None)
    if url == "simulated":
        return SimulatedSerialProbe(
            _found(instrument or "scpi-colorimeter"),
            source or steady(*WHITE_D65),
            faults=faults,
            dwell=dwell,
            clock=clock,
            settings=settings,
            record=record,
        )
    if instrument is None:
        raise CannotOpen(f"{url}: no instrument file is named that says how to speak to the probe; give --instrument")
    return SerialProbe(_found(instrument), url, clock=clock, settings=settings, record=record)


def _offered(point: EntryPoint, url: str, instrument: Instrument | None) -> Probe:
    try:
        make = point.load()
        made: Probe = make(url, instrument)
    except ProbeError:
        raise
    except Exception as error:  # somebody else's package: it may raise anything
        raise CannotOpen(f"{url}: the package that offers this probe cannot be used: {error}") from error
    return made


def _found(instrument: str | Path | Instrument) -> Instrument:
    return instrument if isinstance(instrument, Instrument) else find(instrument)
