"""``panel.toml`` with other zones: read, changed, read again as a check, and put in place whole."""

from __future__ import annotations

import codecs
import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from groundwork.documents import parse_toml
from groundwork.files import content
from panelwear.atomic import write_whole
from panelwear.errors import FileFault, StorageFault
from panelwear.folder.panel import Panel, parse_panel
from panelwear.folder.zone_blocks import Wanted, rewritten
from sequences.model import Zone

FILE = "panel.toml"


@dataclass(frozen=True, slots=True)
class ZoneFile:
    """``panel.toml`` at one moment."""

    path: Path
    raw: bytes
    panel: Panel

    @property
    def zones(self) -> tuple[Zone, ...]:
        """The zones it has."""
        return self.panel.zones


def read_zone_file(directory: Path) -> ZoneFile:
    """Read it whole.

    Raises:
        FileFault: it has faults.
        StorageFault: it cannot be read.
    """
    path = directory / FILE
    try:
        raw = content(path)
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None
    return ZoneFile(path, raw, _panel_of(raw, directory))


def _panel_of(raw: bytes, directory: Path) -> Panel:
    return parse_panel(parse_toml(raw, FILE, FileFault), directory)


def with_zones(file: ZoneFile, wanted: Wanted) -> bytes:
    """Return the file's bytes with other zones; all else in it stays as it is, to the byte.

    Raises:
        FileFault: that is not possible, or the outcome does not read as what is wanted.
    """
    mark = codecs.BOM_UTF8 if file.raw.startswith(codecs.BOM_UTF8) else b""
    try:
        raw = mark + rewritten(file.raw[len(mark) :].decode(), file.zones, wanted).encode()
    except ValueError as error:
        raise FileFault((f"{FILE}: {error}",)) from None
    # Our own reader has the last word: never is a file put in place that says anything but what was drawn.
    found = _panel_of(raw, file.panel.directory)
    zones = tuple(zone for _, zone in wanted)
    if found != replace(file.panel, zones=zones):
        raise FileFault((f"{FILE}: its zones cannot be changed without touching the rest; write them by hand",))
    return raw


def write_zones(file: ZoneFile, wanted: Wanted) -> ZoneFile:
    """Put the file in place with other zones, whole or not at all; returns it as it is now."""
    raw = with_zones(file, wanted)
    write_whole(file.path, raw)
    return ZoneFile(file.path, raw, _panel_of(raw, file.panel.directory))


def write_beside(file: ZoneFile, raw: bytes, what: str) -> Path:
    """Write bytes beside it as ``panel.WHAT-N.toml``, the first number that is free; returns where."""
    taken = (file.path.with_name(f"panel.{what}-{number}.toml") for number in itertools.count(1))
    path = next(one for one in taken if not one.exists())
    write_whole(path, raw)
    return path


def matched(zones: Sequence[Zone], there: Sequence[Zone]) -> Wanted:
    """Give each zone the block that has its name already."""
    names = {zone.name: number for number, zone in enumerate(there)}
    return [(names.get(zone.name), zone) for zone in zones]
