"""Find, read and check sequence files; all faults of a file are said at once."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from sequences.errors import SequenceError
from sequences.fields import Faults, read_table
from sequences.keys import thousandths
from sequences.schema import (
    DEFAULT_CODES,
    Checkerboard,
    Group,
    HoldStep,
    PlaceStep,
    ReadStep,
    Sequence,
    Until,
    WarmUpStep,
    Zones,
)

SHIPPED = Path(__file__).parent / "shipped"
LARGEST_FILE = 1_000_000
LEVEL_KEYS = ("codes", "cd_m2", "share_of_peak", "jnd_steps")
_WORD = re.compile(r"[a-z0-9][a-z0-9-]*\Z")


def shipped() -> tuple[str, ...]:
    """List the names of the sequences that come with the program."""
    return tuple(sorted(path.stem for path in SHIPPED.glob("*.toml")))


def find(name_or_path: str | Path) -> Path:
    """Return the file of a shipped sequence's name or of a path; ``SequenceError`` when there is neither."""
    text = str(name_or_path)
    if text in shipped():
        return SHIPPED / f"{text}.toml"
    path = Path(text)
    try:
        if path.is_file():
            return path
    except (OSError, ValueError):
        pass  # a name no file can have
    near = difflib.get_close_matches(text, shipped(), n=1)
    hint = f"did you mean '{near[0]}'?" if near else f"shipped are {', '.join(shipped())}"
    raise SequenceError((f"{text}: there is no such sequence and no such file; {hint}",))


def looks_like(data: Mapping[str, Any]) -> bool:
    """Tell a sequence file from our other TOML files by its content."""
    steps = data.get("steps")
    return isinstance(steps, list) and any(isinstance(step, dict) and "kind" in step for step in steps)


def load(name_or_path: str | Path) -> Sequence:
    """Read a sequence by its shipped name or its path; ``SequenceError`` lists every fault."""
    path = find(name_or_path)
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise SequenceError((f"{path}: cannot be read ({error.strerror})",)) from None
    return parse(raw, path.name)


def parse(raw: bytes | str, file: str = "sequence.toml") -> Sequence:
    """Make a sequence of a file's content; ``file`` is the name used in faults."""
    if len(raw) > LARGEST_FILE:
        raise SequenceError((f"{file}: is larger than {LARGEST_FILE} bytes; a sequence is a short text",))
    try:
        text = raw.decode("utf-8") if isinstance(raw, bytes) else raw
        data = tomllib.loads(text)
    except UnicodeDecodeError as error:
        raise SequenceError((f"{file}: byte {error.start}: is not UTF-8; save the file as UTF-8",)) from None
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise SequenceError((f"{file}: is not TOML ({error or 'nested too deeply'})",)) from None
    return from_data(data, file)


def from_data(data: Mapping[str, Any], file: str = "sequence.toml") -> Sequence:
    """Make a sequence of parsed TOML."""
    faults = Faults(file, [])
    sequence = read_table(Sequence, data, "", faults)
    if sequence is not None:
        _check(sequence, faults)
    if sequence is None or faults.found:
        raise SequenceError(tuple(faults.found))
    return sequence


def _check(sequence: Sequence, faults: Faults) -> None:
    if not _WORD.match(sequence.name):
        faults.note("name", f"'{sequence.name}' must be a word of small letters, digits and hyphens")
    if not sequence.description.strip():
        faults.note("description", "is empty; say in one sentence what the sequence is for")
    defaults = {"reading": sequence.reading.reads, "dark": sequence.dark.reads}
    if sequence.reference:
        defaults["reference"] = sequence.reference.reads
    for table, reads in defaults.items():
        _check_reads(reads, f"{table}.reads", faults)
    for number, step in enumerate(sequence.steps, start=1):
        path = f"steps[{number}]"
        if isinstance(step, WarmUpStep) and step.max_minutes < step.minutes:
            faults.note(f"{path}.max_minutes", f"{step.max_minutes:g} is less than minutes ({step.minutes:g})")
        if isinstance(step, PlaceStep) and not place_is_named_well(step.at):
            _fault_place(step.at, f"{path}.at", faults)
    for path, group, held in _groups(sequence):
        _check_group(group, path, held, faults)


def _groups(sequence: Sequence) -> Iterator[tuple[str, Group, bool]]:
    for number, step in enumerate(sequence.steps, start=1):
        if isinstance(step, ReadStep | HoldStep):
            for place, group in enumerate(step.patches, start=1):
                yield f"steps[{number}].patches[{place}]", group, isinstance(step, HoldStep)


def _check_group(group: Group, path: str, held: bool, faults: Faults) -> None:
    stated = [key for key in LEVEL_KEYS if getattr(group, key) is not None]
    if len(stated) > 1:
        faults.note(f"{path}.{stated[1]}", f"stands beside {stated[0]}; one of {', '.join(LEVEL_KEYS)} is allowed")
    if not stated and type(group) not in DEFAULT_CODES:
        faults.note(path, f"has no level; give one of {', '.join(LEVEL_KEYS)}")
    if group.codes is not None and group.refine:
        faults.note(f"{path}.refine", "has no meaning for codes; it closes in on cd_m2, share_of_peak or jnd_steps")
    if group.place and not place_is_named_well(group.place):
        _fault_place(group.place, f"{path}.place", faults)
    if group.purpose and not _WORD.match(group.purpose):
        faults.note(f"{path}.purpose", f"'{group.purpose}' must be a word of small letters, digits and hyphens")
    _check_reads(group.reads, f"{path}.reads", faults)
    _check_geometry(group, path, held, faults)


def _check_geometry(group: Group, path: str, held: bool, faults: Faults) -> None:
    if isinstance(group, Checkerboard) and not held:
        for key in ("columns", "rows"):
            if getattr(group, key) % 2 == 0 and group.place in ("", "centre"):
                faults.note(
                    f"{path}.{key}",
                    f"{getattr(group, key)} puts the probe on the line between cells; an odd number puts it in one",
                )
    if isinstance(group, Zones) and group.names is not None:
        for name in group.names:
            if not name or any(sign in name for sign in '/ "'):
                faults.note(f"{path}.names", f"'{name}' cannot be a zone; a name has no spaces, slashes or quotes")
    if group.place and group.__class__.__name__ in ("Grid", "Zones"):
        faults.note(f"{path}.place", "has no meaning here; this group brings its own places")


def _check_reads(reads: int | Until | None, path: str, faults: Faults) -> None:
    if isinstance(reads, Until) and reads.max < reads.n:
        faults.note(f"{path}.max", f"{reads.max} is less than n ({reads.n}), the readings of the first stage")


def place_is_named_well(name: str) -> bool:
    """Tell whether a place's name can be one: a grid place, or a word that could be a zone."""
    at = thousandths(name)
    if at is not None:
        return max(at) <= 1000
    return bool(name) and not any(sign in name for sign in '/ "')


def _fault_place(name: str, path: str, faults: Faults) -> None:
    allowed = "centre, x100y900 (thousandths of width and height, 0 to 1000) or a zone's name"
    faults.note(path, f"'{name}' is no place on the panel; allowed: {allowed}")
