"""``panel.toml``: what the panel is. Read whole, with all faults at once."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault
from panelwear.folder.toml_file import load_toml
from patterns.frame import Rect
from probe_io.toml_reader import Table
from sequences.model import PanelFacts, Zone


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
            self.width_px, self.height_px, self.active_area_mm, self.distance_mm, self.zones, self.refresh_hz
        )


def _numbers(table: Table, key: str, count: int, default: tuple[float, ...] | None = None) -> tuple[float, ...]:
    if default is not None and not table.has(key):
        table.numbers(key)  # asked for, so that it is a known key
        return default
    found = table.numbers(key)
    if not table.has(key):
        table.fault(key, f"is missing; wanted {count} numbers")
    elif len(found) != count:
        table.fault(key, f"wanted {count} numbers, got {len(found)}")
    return found if len(found) == count else (0.0,) * count


def _zone(table: Table, width: int, height: int) -> Zone:
    name = table.text("name", required=True)
    x, y, w, h = (round(v) for v in _numbers(table, "rect_px", 4))
    if w < 1 or h < 1:
        table.fault("rect_px", f"width and height must be at least 1 px, got {w} x {h}")
    elif x < 0 or y < 0 or x + w > width or y + h > height:
        table.fault("rect_px", f"[{x}, {y}, {w}, {h}] does not lie on the panel of {width} x {height} px")
    if any(character in name for character in '/ "') or not name:
        table.fault("name", f"'{name}' must be a word without spaces, slashes or quotes")
    at = _numbers(table, "probe_at_px", 2, default=(x + w / 2, y + h / 2))
    if table.has("probe_at_px") and not (0 <= at[0] <= width and 0 <= at[1] <= height):
        table.fault("probe_at_px", f"[{at[0]:g}, {at[1]:g}] does not lie on the panel")
    zone = Zone(name, Rect(x, y, w, h), (at[0], at[1]), table.text("reference"))
    table.done()
    return zone


def _check_zones(zones: tuple[Zone, ...], table: Table) -> None:
    names = [zone.name for zone in zones]
    for number, zone in enumerate(zones, start=1):
        if zone.name in names[: number - 1]:
            table.fault(f"zones[{number}].name", f"'{zone.name}' is used twice")
        if zone.reference and (zone.reference not in names or zone.reference == zone.name):
            others = ", ".join(n for n in names if n != zone.name) or "none yet"
            table.fault(f"zones[{number}].reference", f"'{zone.reference}' is not another zone (there are: {others})")


def looks_like(data: dict[str, Any]) -> bool:
    """Tell a panel file from our other TOML files by its content."""
    return "pixels" in data and "active_area_mm" in data


def parse_panel(data: dict[str, Any], directory: Path) -> Panel:
    """Make a panel of parsed TOML; ``FileFault`` with every fault."""
    problems: list[str] = []
    table = Table(data, "panel.toml", "", problems)
    width, height = (round(v) for v in _numbers(table, "pixels", 2))
    if table.has("pixels") and not (1 <= width <= 16384 and 1 <= height <= 16384):
        table.fault("pixels", f"[{width}, {height}] must each lie within 1..16384")
    area = _numbers(table, "active_area_mm", 2)
    if table.has("active_area_mm") and min(area) <= 0:
        table.fault("active_area_mm", "width and height in mm must be above 0")
    table.table("response")
    panel = Panel(
        directory=directory,
        name=table.text("name", required=True),
        width_px=width,
        height_px=height,
        active_area_mm=(area[0], area[1]),
        refresh_hz=table.number("refresh_hz", 60.0, 1, 1000),
        distance_mm=table.number("distance_mm", 600.0, 50, 20000),
        assumed_response=dict(data.get("response") or {}) if isinstance(data.get("response", {}), dict) else {},
        notes=table.text("notes"),
        zones=tuple(_zone(zone, width, height) for zone in table.tables("zones")),
    )
    _check_zones(panel.zones, table)
    table.done()
    if problems:
        raise FileFault(tuple(problems))
    return panel


def load_panel(directory: Path) -> Panel:
    """Read ``panel.toml`` of a panel folder."""
    return parse_panel(load_toml(directory / "panel.toml"), directory)
