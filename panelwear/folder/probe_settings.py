"""``probe.toml``: which probe, how it is reached, and what is known of its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from groundwork.tables import limits, read
from panelwear.errors import FileFault
from panelwear.folder.files import load_toml
from panelwear.folder.panel import Panel
from panelwear.uncertainty.meter import DEFAULTS, MeterTerms
from sequences.model import PanelFacts

KnownLuminances = tuple[tuple[str, float], ...]
"""Patch keys with their luminance in cd/m² as read last time."""


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
    aperture_mm: float = field(default=10.0, metadata=limits(low=0.5, high=500))
    floor_cd_m2: float = field(default=0.0, metadata=limits(low=0, high=10))
    """Under this luminance the probe is not trusted; 0 when unknown."""
    correction: str = ""
    """File name of the correction matrix (relative to the panel folder), or empty."""
    uncertainty: MeterTerms = DEFAULTS
    """The ``[uncertainty]`` table."""


def looks_like(data: dict[str, Any]) -> bool:
    """Tell a probe file from our other TOML files by its content."""
    return "aperture_mm" in data and "pixels" not in data


def parse_probe(data: dict[str, Any]) -> ProbeSettings:
    """Make settings of parsed TOML; ``FileFault`` with every fault."""
    return read(ProbeSettings, data, "probe.toml", FileFault)


def load_probe_settings(directory: Path) -> ProbeSettings:
    """Read ``probe.toml`` of a panel folder; defaults when there is none."""
    path = directory / "probe.toml"
    return parse_probe(load_toml(path)) if path.exists() else ProbeSettings()


def facts_for(panel: Panel, settings: ProbeSettings, known_cd_m2: KnownLuminances = ()) -> PanelFacts:
    """Return what a sequence, and the figures of its readings, must know of panel and probe."""
    return replace(
        panel.facts(), aperture_mm=settings.aperture_mm, peak_cd_m2=panel.peak_cd_m2, known_cd_m2=known_cd_m2
    )
