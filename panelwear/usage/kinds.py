"""Kinds of content that a person can name, and how hard each drives the panel.

The drive levels are this program's own round numbers, made up so that a person need not know any; their ranges enter
the band.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelwear.usage.amounts import Amount


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of content."""

    code: Amount
    """Drive level that does as much as it, 0 to 255; its middle is what is reckoned with."""
    words: str


KINDS: dict[str, Kind] = {
    "white": Kind(Amount(250.0, 255.0), "white grounds: pages, lists, tables"),
    "bright": Kind(Amount(180.0, 230.0), "light greys and pale colours"),
    "mid": Kind(Amount(100.0, 150.0), "middle greys and colours"),
    "dark": Kind(Amount(25.0, 65.0), "a dark desktop, dark windows"),
    "black": Kind(Amount(0.0, 0.0), "black, or nothing"),
    "moving": Kind(Amount(90.0, 150.0), "films, cameras, games: everything in turn"),
}
"""By the word a person writes."""
