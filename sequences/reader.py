"""Find, read and check sequence files; all faults of a file are said at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from groundwork.documents import parse_toml
from groundwork.files import content
from groundwork.tables import read
from sequences.errors import SequenceError
from sequences.schema import Sequence
from sequences.shelf import Shelf

SHIPPED = Path(__file__).parent / "shipped"
SEQUENCES = Shelf(SHIPPED, "sequence")


def shipped() -> tuple[str, ...]:
    """List the names of the sequences that come with the program."""
    return SEQUENCES.names()


def find(name_or_path: str | Path) -> Path:
    """Return the file of a shipped sequence's name or of a path; ``SequenceError`` when there is neither."""
    return SEQUENCES.find(name_or_path)


def looks_like(data: Mapping[str, Any]) -> bool:
    """Tell a sequence file from our other TOML files by its content."""
    steps = data.get("steps")
    return isinstance(steps, list) and any(isinstance(step, dict) and "kind" in step for step in steps)


def load(name_or_path: str | Path) -> Sequence:
    """Read a sequence by its shipped name or its path; ``SequenceError`` lists every fault."""
    path = find(name_or_path)
    try:
        raw = content(path)
    except OSError as error:
        raise SequenceError((f"{path}: cannot be read ({error.strerror})",)) from None
    return parse(raw, path.name)


def parse(raw: bytes | str, file: str = "sequence.toml") -> Sequence:
    """Make a sequence of a file's content; ``file`` is the name used in faults."""
    return from_data(parse_toml(raw, file, SequenceError), file)


def from_data(data: Mapping[str, Any], file: str = "sequence.toml") -> Sequence:
    """Make a sequence of parsed TOML; ``SequenceError`` lists every fault."""
    return read(Sequence, _with_present_keys(data), file, SequenceError)


def _with_present_keys(data: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return a sequence with the keys of today: ``title_card`` was ``slate`` in version 0.1.0, also in checkpoints."""
    steps = data.get("steps")
    if not isinstance(steps, list):
        return data
    return {**data, "steps": [_with_title_card(step) for step in steps]}


def _with_title_card(step: object) -> object:
    if not isinstance(step, dict) or "slate" not in step or "title_card" in step:
        return step
    return {"title_card" if key == "slate" else key: value for key, value in step.items()}
