"""A stretch as the block of ``usage.toml`` that says it."""

from __future__ import annotations

from collections.abc import Iterator

from panelwear.folder.files import quoted
from panelwear.readings.records import text_of
from panelwear.usage.amounts import Amount
from panelwear.usage.records import Codes, Content, Stretch

HEAD = """\
# What this panel showed between its checkpoints. "panelwear usage" appends whole blocks and changes none; you may.
# A later block lies over an earlier one, key by key. docs/usage.md tells every key.
"""
_TEXTS = ("until", "map", "map_sha256", "pictures_sha256", "note")
_AMOUNTS = ("hours_a_day", "days_a_week", "white_cd_m2", "peak_share")


def stretch_text(stretch: Stretch) -> str:
    """Write a stretch, to be appended to ``usage.toml``."""
    return "\n".join(["", *_lines(stretch), ""])


def _lines(stretch: Stretch) -> Iterator[str]:
    yield "[[stretches]]"
    yield f"since = {quoted(stretch.since)}"
    for key in _TEXTS:
        if text := getattr(stretch, key):
            yield f"{key} = {quoted(text)}"
    if stretch.pictures:
        yield f"pictures = {stretch.pictures}"
    for key in _AMOUNTS:
        told: Amount | None = getattr(stretch, key)
        if told is not None:
            yield f"{key} = {told.toml}"
    for content in stretch.content:
        yield from _content(content)


def _content(content: Content) -> Iterator[str]:
    yield "[[stretches.content]]"
    if content.zone:
        yield f"zone = {quoted(content.zone)}"
    if content.shows:
        yield f"shows = {quoted(content.shows)}"
    for key, three in (("codes", content.codes), ("light", content.light)):
        if three is not None:
            yield f"{key} = {_three(three)}"
    if (content.share.low, content.share.high) != (1.0, 1.0):
        yield f"share = {content.share.toml}"


def _three(values: Codes) -> str:
    return f"[{', '.join(text_of(one) for one in values)}]"
