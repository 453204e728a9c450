"""Under which circumstances a checkpoint was read: what its record says of probe, panel, settings and room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from panelwear.compare.flags import Flagged


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What has to be alike at two checkpoints; empty text where the record says nothing."""

    name: str = ""
    hours: float = 0.0
    cycles: int | None = None
    """Compensation cycles the panel has counted."""
    date: str = ""
    """Day it was begun, ISO 8601."""
    software: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    probe: str = ""
    """Serial number, as the person stated it and as the probe says it; several when several were used."""
    instrument: str = ""
    """Name of the instrument file."""
    instrument_sha256: str = ""
    calibrated: str = ""
    correction_sha256: str = ""
    screen: str = ""
    """Size in pixels, and whether it was scaled."""
    sequences: tuple[str, ...] = ()
    flagged: Mapping[str, Flagged] = field(default_factory=dict)
    """Readings with a flag that costs comparability, by flag."""


def circumstances_of(record: Mapping[str, Any], name: str = "") -> Circumstances:
    """Read a checkpoint's record (``checkpoint.json``)."""
    sittings: Sequence[Mapping[str, Any]] = record.get("sittings", [])
    probes = [s.get("probe") or {} for s in sittings]
    screens = [s.get("screen") or {} for s in sittings]
    digests = [s.get("digests") or {} for s in sittings]
    cycles = record.get("cycles")
    return Circumstances(
        name=name,
        hours=float(record.get("hours", 0.0)),
        cycles=None if cycles is None else int(cycles),
        date=str(record.get("started_utc", ""))[:10],
        software=str(record.get("software", "")),
        answers={str(k): str(v) for k, v in (record.get("answers") or {}).items()},
        probe=_all(_serial(p) for p in probes),
        instrument=_all(str(p.get("instrument", "")) for p in probes),
        instrument_sha256=_all(str(p.get("instrument_sha256", "")) for p in probes),
        calibrated=_all(str(p.get("calibrated", "")) for p in probes),
        correction_sha256=_all(str(d.get("correction", "")) for d in digests),
        screen=_all(_size(s) for s in screens),
        sequences=tuple(dict.fromkeys(str(s.get("sequence", "")) for s in sittings)),
    )


def _all(values: Any) -> str:
    return ", ".join(dict.fromkeys(v for v in values if v))


def _serial(probe: Mapping[str, Any]) -> str:
    stated, told = str(probe.get("serial_as_stated", "")), str(probe.get("serial", ""))
    # Many probes answer 0 where they have no serial number to tell (IEEE 488.2, *IDN?).
    told = "" if told == "0" else told
    return " / ".join(dict.fromkeys(part for part in (stated, told) if part))


def _size(screen: Mapping[str, Any]) -> str:
    if "width_px" not in screen:
        return ""
    return f"{screen['width_px']} x {screen['height_px']} px{', scaled' if screen.get('scaled') else ''}"
