"""Everything that takes bytes from outside, as functions of bytes; and the judge of how one of them ended.

Whatever the bytes, a reader may end in two ways: it is through, or it raises an error of its package's tree.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from benchmarks.fuzz import seeds
from groundwork.documents import parse_json, parse_toml
from panelwear.colorimetry.correction import parse_correction
from panelwear.colorimetry.pairs import TEMPLATE, read_pairs
from panelwear.errors import FileFault, PanelwearError
from panelwear.folder.checkpoint import READINGS, RECORD
from panelwear.folder.record import checked_amendments
from panelwear.folder.set_aside import checked_log
from panelwear.upkeep.check import check, check_panel, check_probe
from probe_io import instrument_file
from probe_io.errors import ProbeError
from probe_io.keyboard import TypingError, parse_typed
from probe_io.template import Mismatch, TemplateFault, parse_command, parse_template
from sequences import expand, reader
from sequences.errors import SequenceError
from sequences.model import PanelFacts

Read = Callable[[bytes], object]
TREES = (PanelwearError, ProbeError, SequenceError, TypingError, Mismatch, TemplateFault)
"""What a reader may raise."""
NOWHERE = Path(__file__).parent / "no-such-folder"
FACTS = PanelFacts(1280, 720, (600.0, 340.0), zones=(), aperture_mm=10.0)


@dataclass(frozen=True, slots=True)
class Reader:
    """One function of bytes and a sound input to begin with."""

    read: Read
    sound: bytes


def judged(read: Read, data: bytes) -> str:
    """Say how a reader broke its promise, with the place; empty where it kept it."""
    try:
        read(data)
    except TREES:
        return ""
    except Exception as error:
        frame = traceback.extract_tb(error.__traceback__)[-1]
        return f"{type(error).__name__} in {Path(frame.filename).name}, line {frame.lineno}: {str(error)[:120]}"
    return ""


def readers(folder: Path) -> dict[str, Reader]:
    """Return every reader by name; ``folder`` is where those that read files have them."""
    sound = seeds()
    return {
        "panel": Reader(lambda data: check_panel(_toml(data), NOWHERE), sound["panel.toml"]),
        "probe": Reader(lambda data: check_probe(_toml(data), NOWHERE), sound["probe.toml"]),
        "instrument": Reader(lambda data: instrument_file.parse(data, "f.toml"), sound["instrument.toml"]),
        "sequence": Reader(_sequence, sound["sequence.toml"]),
        "correction": Reader(lambda data: parse_correction(_toml(data), "f.toml"), sound["correction.toml"]),
        "record": Reader(partial(_checked, folder / RECORD), sound[RECORD]),
        "amendments": Reader(
            lambda data: checked_amendments(parse_json(data, "f.json", FileFault), "f.json"),
            b'[{"utc": "2026-01-05T18:00:00Z", "text": "typed", "by": "a", "set": {"hours": 3}, "was": {"hours": 4}}]',
        ),
        "set-aside": Reader(
            lambda data: checked_log(parse_json(data, "f.json", FileFault), "f.json"),
            b'[{"checkpoint": "a", "folder": "a", "utc": "2026-01-05T18:00:00Z", "why": "b", "by": "c"}]',
        ),
        "readings": Reader(partial(_checked, folder / READINGS), sound[READINGS]),
        "marks": Reader(partial(_checked, folder / "marks.csv"), sound["marks.csv"]),
        "pairs": Reader(lambda data: read_pairs(data.decode("utf-8", "replace"), "f.csv"), _pairs()),
        "typed": Reader(lambda data: parse_typed(_text(data)), b"Yxy 182.4 0.3127 0,3290"),
        "reply": Reader(_reply, b"MEAS {a:3}\0XYZ {X:number};{Y:number} {skip:skip} END\0XYZ 1.5e2;-4 a END"),
    }


def _toml(data: bytes) -> dict[str, object]:
    return parse_toml(data, "f.toml", FileFault)


def _text(data: bytes) -> str:
    return data.decode("utf-8", "replace")


def _sequence(data: bytes) -> None:
    """Read a sequence, and make its steps for a panel."""
    expand.expand(reader.parse(data, "f.toml"), FACTS, 1)


def _checked(path: Path, data: bytes) -> None:
    """Check a file as the command does."""
    path.write_bytes(data)
    check(path)


def _reply(data: bytes) -> None:
    r"""Read a command, a template, and match a reply with it; ``\0`` stands between them."""
    command, template, reply = (_text(data) + "\0\0").split("\0")[:3]
    asked = parse_command(command, None)
    asked.fill(dict.fromkeys(asked.holes, 0.5))
    parse_template(template).match(reply)


def _pairs() -> bytes:
    return TEMPLATE.replace(",,,,,,", ",1,2,3,1.1,2.1,3.1").encode()
