"""Read instrument files: TOML in, an ``Instrument`` out, or every fault at once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Any

from groundwork.documents import parse_toml
from groundwork.files import content
from groundwork.tables import read
from probe_io.errors import InstrumentFileError
from probe_io.instrument import Instrument

SHIPPED = resources.files("probe_io") / "instruments"


def looks_like(data: Mapping[str, object]) -> bool:
    """Say whether a parsed TOML file is meant to be an instrument file."""
    marked = str(data.get("format", "")).startswith("panelwear-instrument")
    return marked or ("measure" in data and "line" in data)


def shipped() -> tuple[str, ...]:
    """Name the instrument files that come with the program."""
    return tuple(sorted(f.name.removesuffix(".toml") for f in SHIPPED.iterdir() if f.name.endswith(".toml")))


def find(name_or_path: str | Path) -> Instrument:
    """Load an instrument by the name of a shipped file or by the path of one's own."""
    text = str(name_or_path)
    if text in shipped():
        file = SHIPPED / f"{text}.toml"
        return parse(file.read_bytes(), f"{text}.toml")
    path = Path(name_or_path)
    if path.suffix == ".toml" or path.exists():
        return load(path)
    names = ", ".join(shipped())
    raise InstrumentFileError((f"{text}: no instrument file of this name; shipped are {names}, or give a path",))


def load(path: str | Path) -> Instrument:
    """Load one file; raises ``InstrumentFileError`` with every fault it has."""
    try:
        data = content(path)
    except OSError as error:
        raise InstrumentFileError((f"{path}: cannot be read: {error.strerror or error}",)) from error
    return parse(data, str(path))


def parse(data: bytes, where: str) -> Instrument:
    """Read the bytes of an instrument file; ``where`` names it in the faults."""
    tables = parse_toml(data, where, InstrumentFileError)
    instrument = read(Instrument, tables, where, InstrumentFileError, about=_decimal(tables))
    return replace(instrument, sha256=hashlib.sha256(data).hexdigest(), source=where)


def _decimal(tables: Mapping[str, Any]) -> str:
    """Return the decimal sign of the replies, which their templates must know."""
    measure = tables.get("measure")
    return "," if isinstance(measure, dict) and measure.get("decimal") == "comma" else "."
