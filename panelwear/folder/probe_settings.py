"""``probe.toml``: which probe, how it is reached, and what is known of its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault
from panelwear.folder.fields import Fields, load_toml


@dataclass(frozen=True, slots=True)
class ProbeSettings:
    """What ``probe.toml`` says; empty strings where it says nothing yet."""

    instrument: str = ""
    """Name of a shipped instrument file, or a path (relative to the panel folder)."""
    link: str = ""
    """Probe URL: device path, COM name, pyserial URL, ``keyboard`` or ``simulated``."""
    serial: str = ""
    calibrated: str = ""
    """Date of the last calibration, as text (ISO 8601)."""
    aperture_mm: float = 10.0
    floor_cd_m2: float = 0.0
    """Under this luminance the probe is not trusted; 0 when unknown."""
    correction: str = ""
    """File name of the correction matrix (relative to the panel folder), or empty."""
    uncertainty: dict[str, Any] = field(default_factory=dict)
    """The ``[uncertainty]`` table: meter terms, checked by ``panelwear.uncertainty``."""


def looks_like(data: dict[str, Any]) -> bool:
    """Tell a probe file from our other TOML files by its content."""
    return "aperture_mm" in data and "pixels" not in data


def parse_probe(data: dict[str, Any]) -> ProbeSettings:
    """Make settings of parsed TOML; ``FileFault`` with every fault."""
    problems: list[str] = []
    fields = Fields(data, "probe.toml", problems)
    settings = ProbeSettings(
        instrument=fields.text("instrument", ""),
        link=fields.text("link", ""),
        serial=fields.text("serial", ""),
        calibrated=fields.text("calibrated", ""),
        aperture_mm=fields.number("aperture_mm", 10.0, low=0.5, high=500),
        floor_cd_m2=fields.number("floor_cd_m2", 0.0, low=0, high=10),
        correction=fields.text("correction", ""),
        uncertainty=fields.mapping("uncertainty"),
    )
    fields.finish()
    if problems:
        raise FileFault(tuple(problems))
    return settings


def load_probe_settings(directory: Path) -> ProbeSettings:
    """Read ``probe.toml`` of a panel folder; defaults when there is none."""
    path = directory / "probe.toml"
    return parse_probe(load_toml(path)) if path.exists() else ProbeSettings()
