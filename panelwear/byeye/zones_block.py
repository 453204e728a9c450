"""A mark becomes a zone: one ``[[zones]]`` block appended to the text of ``panel.toml``, every comment kept."""

from __future__ import annotations

import tomllib

from panelwear.errors import FileFault, UsageError
from patterns.frame import Rect

FORBIDDEN = '"/\\ \t\r\n'


def zone_block(name: str, rect: Rect, reference: str = "", comment: str = "") -> str:
    """Return the block as text.

    Raises:
        UsageError: the name is not a word.
    """
    if not name or any(sign in FORBIDDEN for sign in name) or not name.isprintable():
        raise UsageError(f"'{name}' cannot be a zone's name: use one word without spaces, slashes or quotes")
    lines = ["[[zones]]"]
    if comment:
        lines.insert(0, "# " + " ".join(comment.split()))
    lines += [f'name = "{name}"', f"rect_px = [{rect.x}, {rect.y}, {rect.w}, {rect.h}]"]
    if reference:
        lines.append(f'reference = "{reference}"')
    return "\n".join(lines) + "\n"


def with_zone(text: str, name: str, rect: Rect, reference: str = "", comment: str = "") -> str:
    """Return ``panel.toml``'s text with one more zone; everything before it stays as it was, byte for byte.

    A file that ends its lines with CR LF gets a block that does so too.

    Raises:
        FileFault: the text is no TOML, before or after.
        UsageError: the name is taken, or is not a word, or the reference is no zone.
    """
    data = _parsed(text)
    there = [str(zone.get("name", "")) for zone in data.get("zones", [])]
    if name in there:
        raise UsageError(f"panel.toml already has a zone '{name}': choose another name")
    if reference and reference not in there:
        raise UsageError(f"panel.toml has no zone '{reference}' to refer to; there are {', '.join(there) or 'none'}")
    newline = "\r\n" if "\r\n" in text else "\n"
    gap = "" if not text else newline if text.endswith("\n") else 2 * newline
    longer = text + gap + zone_block(name, rect, reference, comment).replace("\n", newline)
    _parsed(longer)
    return longer


def _parsed(text: str) -> dict[str, list[dict[str, object]]]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileFault((f"panel.toml: {error}; correct it before a zone can be added",)) from None
