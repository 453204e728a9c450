"""``panel.toml`` and ``probe.toml``: what a person says of panel and probe. Read whole, with all faults at once."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from groundwork.tables import LOOSE, limits, nearest, read
from panelwear.errors import FileFault
from panelwear.folder.files import expect_panel_folder, load_toml
from panelwear.folder.stability import StabilityBlock, measured_terms
from panelwear.uncertainty.meter import DEFAULTS, MeterTerms
from patterns.frame import Rect
from sequences.keys import thousandths
from sequences.model import GAMMA, PanelFacts, Zone

KnownLuminances = tuple[tuple[str, float], ...]
"""Patch keys with their luminance in cd/m² as read last time."""
A_QUARTER_DAYS = 91.0


@dataclass(frozen=True, slots=True)
class Panel:
    """The display under inspection, as its folder describes it."""

    directory: Path
    name: str
    width_px: int
    height_px: int
    active_area_mm: tuple[float, float]
    refresh_hz: float
    distance_mm: float
    assumed_response: dict[str, Any] = field(default_factory=dict)
    """The ``[response]`` table: what is taken for granted until a response has been measured."""
    notes: str = ""
    zones: tuple[Zone, ...] = ()
    checkpoint_every_days: float = A_QUARTER_DAYS
    """After so many days the next checkpoint is due."""
    model: str = ""
    usage: str = ""
    brightness: str = ""
    """By these three, in a person's own words, many panels are put into groups; nothing is worked out from them."""

    @property
    def pitch_mm(self) -> tuple[float, float]:
        """Size of one pixel, horizontal and vertical."""
        return (self.active_area_mm[0] / self.width_px, self.active_area_mm[1] / self.height_px)

    @property
    def peak_cd_m2(self) -> float:
        """Peak luminance as assumed; for the dimness of cards and the flash governor."""
        return float(self.assumed_response.get("peak_cd_m2", 250.0))

    def facts(self) -> PanelFacts:
        """Return what a sequence must know."""
        return PanelFacts(
            self.width_px,
            self.height_px,
            self.active_area_mm,
            self.distance_mm,
            self.zones,
            self.refresh_hz,
            gamma=float(self.assumed_response.get("gamma", GAMMA)),
        )


@dataclass(frozen=True, slots=True)
class _ZoneTable:
    """A ``[[zones]]`` block."""

    name: str
    rect_px: tuple[float, float, float, float]
    probe_at_px: tuple[float, float] | None = None
    reference: str = ""

    @property
    def rect_px_whole(self) -> tuple[int, int, int, int]:
        """The rectangle in whole pixels."""
        x, y, w, h = (round(v) for v in self.rect_px)
        return x, y, w, h

    def zone(self) -> Zone:
        """Return the zone; the probe sits in its middle unless the file says otherwise."""
        rect = Rect(*self.rect_px_whole)
        return Zone(self.name, rect, self.probe_at_px or rect.centre, self.reference)


def zone_name_faults(name: str, taken: Collection[str]) -> Iterator[str]:
    """Say what is wrong with the name of a new zone, where others are taken already."""
    yield from _name_faults(name, taken)
    yield from _unaskable(name)


def _name_faults(name: str, taken: Collection[str]) -> Iterator[str]:
    """Say why a name cannot stand in the keys of readings."""
    if not name or any(character in name for character in '/ "'):
        yield f"'{name}' must be a word without spaces, slashes or quotes"
    elif thousandths(name) is not None:
        yield f"'{name}' is what readings call that place of the panel, and the two would mix; give it another name"
    if name in taken:
        yield f"'{name}' is used twice"


def _unaskable(name: str) -> Iterator[str]:
    """Say why a zone of this name could be read, but never be asked for by its name in a command."""
    if "%" in name or not name.isprintable():
        sign = "%" if "%" in name else "a space or a sign that cannot be seen"
        # Its signs are written out: a space that is no space looks like one.
        yield f"{name!r} has {sign} in it, so no command could be asked for it; use letters, digits and hyphens"


def refuse_unaskable(panel: Panel) -> None:
    """Raise ``FileFault`` for zones that no command can be asked for; their readings are sound."""
    faults = [
        f"panel.toml: zones[{number}].name: {fault}"
        for number, zone in enumerate(panel.zones, start=1)
        for fault in _unaskable(zone.name)
    ]
    if faults:
        raise FileFault(tuple(faults))


@dataclass(frozen=True, slots=True)
class _PanelFile:
    """``panel.toml``."""

    name: str
    pixels: tuple[float, float] = field(metadata=limits(low=0.5, high=16384))
    active_area_mm: tuple[float, float] = field(metadata=limits(above=0, high=100_000))
    refresh_hz: float = field(default=60.0, metadata=limits(low=1, high=1000))
    distance_mm: float = field(default=600.0, metadata=limits(low=50, high=20_000))
    response: dict[str, Any] = field(default_factory=dict)
    notes: str = ""
    checkpoint_every_days: float = field(default=A_QUARTER_DAYS, metadata=limits(low=1, high=10_000))
    zones: tuple[_ZoneTable, ...] = field(default=(), metadata=LOOSE)
    model: str = ""
    usage: str = ""
    brightness: str = ""

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say which zones have no name of their own, no other zone to refer to, or no place on the panel."""
        names = [zone.name for zone in self.zones]
        for number, zone in enumerate(self.zones, start=1):
            here = f"zones[{number}]"
            for sentence in _name_faults(zone.name, names[: number - 1]):
                yield f"{here}.name", sentence
            if zone.reference and (zone.reference not in names or zone.reference == zone.name):
                others = nearest(zone.reference, {*names} - {zone.name}, "there are:")
                yield f"{here}.reference", f"'{zone.reference}' is not another zone; {others}"
            width, height = zone.rect_px_whole[2:]
            if width < 1 or height < 1:
                yield f"{here}.rect_px", f"width and height must be at least 1 px, got {width} x {height}"
        width, height = (round(v) for v in self.pixels)
        for number, zone in enumerate(self.zones, start=1):
            (x, y, w, h), at = zone.rect_px_whole, zone.probe_at_px or (0, 0)
            if x < 0 or y < 0 or x + w > width or y + h > height:
                sentence = f"[{x}, {y}, {w}, {h}] does not lie on the panel of {width} x {height} px"
                yield f"zones[{number}].rect_px", sentence
            if not (0 <= at[0] <= width and 0 <= at[1] <= height):
                yield f"zones[{number}].probe_at_px", f"[{at[0]:g}, {at[1]:g}] does not lie on the panel"


def looks_like_panel(data: dict[str, Any]) -> bool:
    """Tell a panel file from our other TOML files by its content."""
    return "pixels" in data and "active_area_mm" in data


def parse_panel(data: dict[str, Any], directory: Path) -> Panel:
    """Make a panel of parsed TOML; ``FileFault`` with every fault."""
    found = read(_PanelFile, data, "panel.toml", FileFault)
    return Panel(
        directory=directory,
        name=found.name,
        width_px=round(found.pixels[0]),
        height_px=round(found.pixels[1]),
        active_area_mm=found.active_area_mm,
        refresh_hz=found.refresh_hz,
        distance_mm=found.distance_mm,
        assumed_response=found.response,
        notes=found.notes,
        zones=tuple(zone.zone() for zone in found.zones),
        checkpoint_every_days=found.checkpoint_every_days,
        model=found.model,
        usage=found.usage,
        brightness=found.brightness,
    )


def load_panel(directory: Path) -> Panel:
    """Read ``panel.toml`` of a panel folder; ``UsageError`` where the folder is none."""
    expect_panel_folder(directory)
    return parse_panel(load_toml(directory / "panel.toml"), directory)


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
    """The ``[uncertainty]`` table; what evenings told of this probe stands in it already."""
    stability: tuple[StabilityBlock, ...] = field(default=(), metadata=LOOSE)
    """The ``[[stability]]`` blocks, the newest last."""


def looks_like_probe(data: dict[str, Any]) -> bool:
    """Tell a probe file from our other TOML files by its content."""
    return "aperture_mm" in data and "pixels" not in data


def parse_probe(data: dict[str, Any]) -> ProbeSettings:
    """Make settings of parsed TOML; ``FileFault`` with every fault."""
    found = read(ProbeSettings, data, "probe.toml", FileFault)
    return replace(found, uncertainty=measured_terms(found.uncertainty, found.stability, found.serial))


def load_probe_settings(directory: Path) -> ProbeSettings:
    """Read ``probe.toml`` of a panel folder; defaults when there is none."""
    path = directory / "probe.toml"
    return parse_probe(load_toml(path)) if path.exists() else ProbeSettings()


def facts_for(panel: Panel, settings: ProbeSettings, known_cd_m2: KnownLuminances = ()) -> PanelFacts:
    """Return what a sequence, and the figures of its readings, must know of panel and probe."""
    return replace(
        panel.facts(), aperture_mm=settings.aperture_mm, peak_cd_m2=panel.peak_cd_m2, known_cd_m2=known_cd_m2
    )
