"""Under which circumstances a checkpoint was read: what its record says of probe, panel, settings and room."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from panelwear.figures.flags import Flagged
from panelwear.folder.hours import HoursOfUse, Kind, recorded
from panelwear.folder.odd_start import begun_on


@dataclass(frozen=True, slots=True)
class ProbeName:
    """How one probe is known: by the serial number it tells, by the one a person stated, by both or by neither."""

    told: str = ""
    stated: str = ""

    @property
    def known(self) -> bool:
        """Whether there is any serial number."""
        return bool(self.told or self.stated)

    def is_same(self, other: ProbeName) -> bool:
        """Return whether two names are of one probe.

        What both probes told decides, as a person may forget to change what is stated; where one told nothing, a
        number that both have in common does.
        """
        if self.told and other.told:
            return self.told == other.told
        mine = {self.told, self.stated} - {""}
        return bool(mine & {other.told, other.stated})


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What has to be alike at two checkpoints; empty text where the record says nothing."""

    name: str = ""
    hours: float = 0.0
    """Hours of use; where they are estimated, the middle of their range."""
    cycles: int | None = None
    """Compensation cycles the panel has counted."""
    date: str = ""
    """Day it was begun, ISO 8601."""
    software: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    probe: str = ""
    """Serial number, as the person stated it and as the probe says it; several when several were used."""
    probe_names: tuple[ProbeName, ...] = ()
    """Those of the probes that were used, one a probe; where empty, ``probe`` is one."""
    instrument: str = ""
    """Name of the instrument file; several when several were used."""
    instrument_sha256: str = ""
    calibrated: str = ""
    correction_sha256: str = ""
    corrected_with: str = ""
    """The matrix its figures are corrected with: file, date, reference; empty where none is."""
    matrix_of: str = ""
    """The other panel that matrix was made on; empty where it is this one's."""
    screen: str = ""
    """Size in pixels, and whether it was scaled."""
    sequences: tuple[str, ...] = ()
    flagged: Mapping[str, Flagged] = field(default_factory=dict)
    """Readings with a flag that costs comparability, by flag."""
    left_out: Mapping[str, int] = field(default_factory=dict)
    """How many readings enter no figure, by why."""
    hours_kind: Kind = "read"
    """``read`` from the panel's menu, ``counted`` by a person or ``estimated`` within a range."""
    hours_low: float = math.nan
    """Ends of that range in h; of no meaning for any other kind."""
    hours_high: float = math.nan

    @property
    def use(self) -> HoursOfUse:
        """Hours of use with how they are known."""
        return HoursOfUse(self.hours, self.hours_kind, self.hours_low, self.hours_high)

    @property
    def hours_u(self) -> float:
        """Standard uncertainty of the hours in h; 0 unless they are estimated."""
        return self.use.u

    @property
    def probes(self) -> tuple[ProbeName, ...]:
        """The probes that are known by a serial number."""
        return self.probe_names or ((ProbeName(told=self.probe),) if self.probe else ())

    def shares_probe(self, other: Circumstances) -> bool:
        """Return whether some probe was used at both checkpoints, as far as serial numbers tell."""
        return any(mine.is_same(theirs) for mine in self.probes for theirs in other.probes)


def circumstances_of(record: Mapping[str, Any], name: str = "") -> Circumstances:
    """Read a checkpoint's record (``checkpoint.json``)."""
    sessions: Sequence[Mapping[str, Any]] = record.get("sessions", [])
    probes = [s.get("probe") or {} for s in sessions]
    screens = [s.get("screen") or {} for s in sessions]
    digests = [s.get("digests") or {} for s in sessions]
    cycles = record.get("cycles")
    names = _distinct(_name(p) for p in probes)
    use = recorded(record)
    return Circumstances(
        name=name,
        hours=use.value,
        hours_kind=use.kind,
        hours_low=use.low,
        hours_high=use.high,
        cycles=None if cycles is None else int(cycles),
        date=begun_on(record),
        software=str(record.get("software", "")),
        answers={str(k): str(v) for k, v in (record.get("answers") or {}).items()},
        probe=_all(_words(n) for n in names),
        probe_names=names,
        instrument=_all(str(p.get("instrument", "")) for p in probes),
        instrument_sha256=_all(str(p.get("instrument_sha256", "")) for p in probes),
        calibrated=_all(str(p.get("calibrated", "")) for p in probes),
        correction_sha256=_all(str(d.get("correction", "")) for d in digests),
        screen=_all(_size(s) for s in screens),
        sequences=tuple(dict.fromkeys(str(s.get("sequence", "")) for s in sessions)),
    )


def _all(values: Any) -> str:
    return ", ".join(dict.fromkeys(v for v in values if v))


def _name(probe: Mapping[str, Any]) -> ProbeName:
    stated, told = str(probe.get("serial_as_stated", "")).strip(), str(probe.get("serial", "")).strip()
    # Many probes answer 0 where they have no serial number to tell (IEEE 488.2, *IDN?).
    return ProbeName("" if told == "0" else told, stated)


def _distinct(names: Iterable[ProbeName]) -> tuple[ProbeName, ...]:
    """Return each probe once, with all that any session knew of it."""
    found: list[ProbeName] = []
    for name in names:
        same = [known for known in found if name.is_same(known)]
        told = next((n.told for n in (*same, name) if n.told), "")
        stated = next((n.stated for n in (*same, name) if n.stated), "")
        merged = ProbeName(told, stated)
        if same:
            found[found.index(same[0])] = merged
            found = [known for known in found if known not in same[1:]]
        elif name.known:
            found.append(merged)
    return tuple(found)


def _words(name: ProbeName) -> str:
    return " / ".join(dict.fromkeys(part for part in (name.stated, name.told) if part))


def _size(screen: Mapping[str, Any]) -> str:
    if "width_px" not in screen:
        return ""
    return f"{screen['width_px']} x {screen['height_px']} px{', scaled' if screen.get('scaled') else ''}"
