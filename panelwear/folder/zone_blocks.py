"""The ``[[zones]]`` blocks of ``panel.toml``: changed key by key, moved, removed, added; all else stays.

Text in, text out. A block is its header with the comment lines directly above it, down to its last key; what lies
between two blocks (blank lines, comments that stand by themselves, other tables) keeps its place.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from panelwear.folder.files import zone_block
from sequences.model import Zone

_HEADER = re.compile(r"""^[ \t]*\[\[[ \t]*(zones|"zones"|'zones')[ \t]*\]\][ \t]*(#.*)?$""")
_TABLE = re.compile(r"^[ \t]*\[")
Wanted = Sequence[tuple[int | None, Zone]]
"""The zones that are to stand there, in order; each with the number of the block it has already, from 0."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A file cut at its zones: ``before block gap block gap …``, nothing lost."""

    before: str
    blocks: tuple[str, ...]
    gaps: tuple[str, ...]
    """What follows each block up to the next one, or to the end."""


def rewritten(text: str, there: Sequence[Zone], wanted: Wanted) -> str:
    """Return the file with other zones.

    Args:
        text: the file.
        there: its zones, as the reader understands them.
        wanted: the zones it is to have.

    Raises:
        ValueError: its zones stand in a form in which they cannot be changed without touching the rest.
    """
    cut = cut_at_zones(text)
    if len(cut.blocks) != len(there) or (not there and "zones" in tomllib.loads(text)):
        return _in_one_array(text, there, wanted)
    line_end = "\r\n" if "\r\n" in text else "\n"
    made = [
        _new_block(zone, line_end) if origin is None else _changed(cut.blocks[origin], there[origin], zone)
        for origin, zone in wanted
    ]
    return _joined(cut, made, line_end)


def cut_at_zones(text: str) -> Cut:
    """Cut a file at its ``[[zones]]`` blocks; none where it has none, or where they stand in an array."""
    lines = re.findall(r"[^\n]*\n|[^\n]+", text)
    heads = [n for n, line in enumerate(lines) if _HEADER.match(line.rstrip("\r\n")) and _is_whole(lines[:n])]
    if not heads:
        return Cut(text, (), ())
    starts = [_with_comments(lines, head) for head in heads]
    ends = [_end_of(lines, head, limit) for head, limit in zip(heads, [*starts[1:], len(lines)], strict=True)]
    blocks = tuple("".join(lines[start:end]) for start, end in zip(starts, ends, strict=True))
    gaps = tuple("".join(lines[end:start]) for end, start in zip(ends, [*starts[1:], len(lines)], strict=True))
    return Cut("".join(lines[: starts[0]]), blocks, gaps)


def _is_whole(lines: Sequence[str]) -> bool:
    """Tell whether a file may end here: a line that looks like a header may stand inside a text of many lines."""
    try:
        tomllib.loads("".join(lines))
    except tomllib.TOMLDecodeError:
        return False
    return True


def _with_comments(lines: Sequence[str], head: int) -> int:
    """Return the first of the comment lines directly above a header."""
    while head > 0 and lines[head - 1].lstrip().startswith("#"):
        head -= 1
    return head


def _end_of(lines: Sequence[str], head: int, limit: int) -> int:
    """Return the line after the last key of a block, and the comments that follow it without a blank line."""
    end = head + 1
    for n in range(head + 1, limit):
        if _TABLE.match(lines[n]) and _is_whole(lines[:n]):
            break
        if lines[n].strip() and (not lines[n].lstrip().startswith("#") or end == n):
            end = n + 1
    return end


def _joined(cut: Cut, made: Sequence[str], line_end: str) -> str:
    text = cut.before
    for n, block in enumerate(made):
        if n >= len(cut.gaps):
            text = _with_blank_line(text, line_end)
        text = _ended(text, line_end) + block + (cut.gaps[n] if n < len(cut.gaps) else "")
    return text + "".join(gap for gap in cut.gaps[len(made) :] if gap.strip())


def _ended(text: str, line_end: str) -> str:
    return text if not text or text.endswith("\n") else text + line_end


def _with_blank_line(text: str, line_end: str) -> str:
    ended = _ended(text, line_end)
    return ended if not ended or ended.endswith("\n" + line_end) else ended + line_end


def _new_block(zone: Zone, line_end: str) -> str:
    told = zone_block(zone).lstrip("\n")
    if zone.probe_at_px == zone.rect.centre:
        told = re.sub(r"(?m)^probe_at_px = .*\n", "", told)  # the reader puts it there, also after a change by hand
    return told.replace("\n", line_end)


def _changed(block: str, was: Zone, zone: Zone) -> str:
    """Change the keys of a block that do not say what is wanted already; order, spaces and comments stay."""
    import tomlkit

    document = tomlkit.parse(block)
    table = document["zones"][0]
    _set(table, was, zone)
    return tomlkit.dumps(document)


def _set(table: Any, was: Zone, zone: Zone) -> None:
    """Set what differs in one zone's table."""
    if zone.name != was.name:
        table["name"] = zone.name
    if zone.rect != was.rect:
        table["rect_px"] = _array([zone.rect.x, zone.rect.y, zone.rect.w, zone.rect.h])
    stated = "probe_at_px" in table
    if zone.probe_at_px != was.probe_at_px and (stated or zone.probe_at_px != zone.rect.centre):
        table["probe_at_px"] = _array([_plain(value) for value in zone.probe_at_px])
    if zone.reference != was.reference:
        if zone.reference:
            table["reference"] = zone.reference
        elif "reference" in table:
            del table["reference"]


def _array(values: list[Any]) -> Any:
    import tomlkit

    made = tomlkit.array()
    made.extend(values)
    return made


def _plain(value: float) -> float | int:
    return int(value) if float(value).is_integer() else value


def _in_one_array(text: str, there: Sequence[Zone], wanted: Wanted) -> str:
    """Change zones that stand as ``zones = [{name = ...}, ...]``."""
    import tomlkit

    document = tomlkit.parse(text)
    array = document.get("zones")
    if not isinstance(array, tomlkit.items.Array) or len(array) != len(there):
        raise ValueError("its zones stand in a form of their own; write each as a [[zones]] block")
    kept = [origin for origin, _ in wanted if origin is not None]
    if (kept != sorted(kept) or None in [origin for origin, _ in wanted[: len(kept)]]) and "#" in array.as_string():
        raise ValueError("its zones stand in one list with comments, whose order cannot be changed without losing them")
    tables = [array[n] for n in range(len(there))]
    for origin, zone in wanted:
        if origin is not None:
            _set(tables[origin], there[origin], zone)
    if kept == sorted(kept):
        for n in sorted(set(range(len(there))) - set(kept), reverse=True):
            del array[n]
        for n, (origin, zone) in enumerate(wanted):
            if origin is None:
                array.insert(n, _inline(zone))
    else:
        array.clear()
        array.extend(_inline(zone) if origin is None else tables[origin] for origin, zone in wanted)
    return tomlkit.dumps(document)


def _inline(zone: Zone) -> Any:
    import tomlkit

    made = tomlkit.inline_table()
    nothing = Zone("", type(zone.rect)(0, 0, 0, 0), (0.0, 0.0))
    _set(made, nothing, zone)
    return made
