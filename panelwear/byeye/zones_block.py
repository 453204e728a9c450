"""A mark becomes a zone: one ``[[zones]]`` block appended to the text of ``panel.toml``, every comment kept."""

from __future__ import annotations

from dataclasses import dataclass, field

from groundwork.documents import parse_toml
from groundwork.tables import LOOSE, read
from panelwear.errors import FileFault, UsageError
from panelwear.folder.files import zone_block
from patterns.frame import Rect
from sequences.model import Zone

FORBIDDEN = '"/\\ \t\r\n'


@dataclass(frozen=True, slots=True)
class _ZoneName:
    name: str


@dataclass(frozen=True, slots=True)
class _Zones:
    """All that must be known of a panel file before a zone is added; it is read whole when the panel is."""

    zones: tuple[_ZoneName, ...] = field(default=(), metadata=LOOSE)


def _checked(name: str) -> str:
    if not name or any(sign in FORBIDDEN for sign in name) or not name.isprintable():
        raise UsageError(f"'{name}' cannot be a zone's name: use one word without spaces, slashes or quotes")
    return name


def with_zone(text: str, name: str, rect: Rect, reference: str = "", comment: str = "") -> str:
    """Return ``panel.toml``'s text with one more zone; everything before it stays as it was, byte for byte.

    A file that ends its lines with CR LF gets a block that does so too.

    Raises:
        FileFault: the text is no TOML, before or after.
        UsageError: the name is taken, or is not a word, or the reference is no zone.
    """
    there = _zone_names(text)
    if name in there:
        raise UsageError(f"panel.toml already has a zone '{name}': choose another name")
    if reference and reference not in there:
        raise UsageError(f"panel.toml has no zone '{reference}' to refer to; there are {', '.join(there) or 'none'}")
    newline = "\r\n" if "\r\n" in text else "\n"
    block = zone_block(Zone(_checked(name), rect, rect.centre, reference))
    if comment:
        block = f"\n# {' '.join(comment.split())}{block}"
    longer = text + ("" if not text or text.endswith("\n") else newline) + block.replace("\n", newline)
    _zone_names(longer)
    return longer


def _zone_names(text: str) -> list[str]:
    try:
        data = parse_toml(text, "panel.toml", FileFault)
        return [zone.name for zone in read(_Zones, data, "panel.toml", FileFault, unknown_too=False).zones]
    except FileFault as error:
        raise FileFault((f"{error}; correct it before a zone can be added",)) from None
