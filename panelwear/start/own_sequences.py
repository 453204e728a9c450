"""A person's own sequences: TOML files of the panel folder that hold steps."""

from __future__ import annotations

from pathlib import Path

from panelwear.start.facts import Choice

NO_SEQUENCES = frozenset({"panel.toml", "probe.toml"})


def own_sequences(folder: Path) -> tuple[Choice, ...]:
    """Find the sequences that lie in a panel folder; one with faults is told with its first.

    Args:
        folder: of the panel.

    Returns:
        One a file, its path as the value, in the order of their names.
    """
    from sequences.errors import SequenceError

    found = []
    for path in sorted(folder.glob("*.toml")):
        try:
            note = None if path.name in NO_SEQUENCES else _description(path)
        except SequenceError as error:
            note = f"has a fault: {error.problems[0]}"
        except OSError as error:
            note = f"cannot be read ({error.strerror})"
        if note is not None:
            found.append(Choice(path.as_posix(), path.name, note))
    return tuple(found)


def _description(path: Path) -> str | None:
    """Return what a sequence says of itself; ``None`` of a file that is none."""
    from groundwork.documents import parse_toml
    from groundwork.files import content
    from sequences.errors import SequenceError
    from sequences.reader import from_data, looks_like

    raw = content(path)
    if b"steps" not in raw:
        return None
    data = parse_toml(raw, path.name, SequenceError)
    return (from_data(data, path.name).description or "your own") if looks_like(data) else None
