"""Read TOML tables into frozen dataclasses: types, ranges and names are checked, every fault is collected."""

from __future__ import annotations

import dataclasses
import difflib
import math
import re
import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar, Union, cast

T = TypeVar("T")

FAULT = object()
"""Stands for a value that has a fault; the fault is noted already."""


def limits(*, low: float | None = None, high: float | None = None, above: float | None = None) -> dict[str, Any]:
    """Make the metadata of a field whose numbers (each of a list) lie within ``low..high``, and above ``above``."""
    return {"low": low, "high": high, "above": above}


def chosen(key: str, classes: Mapping[str, type]) -> Any:
    """Make a required dataclass field: a list of tables, each of the class its ``key`` names."""
    return dataclasses.field(metadata={"by": key, "classes": classes})


KINDS: dict[Any, tuple[type, ...]] = {float: (int, float), int: (int,), str: (str,), bool: (bool,)}
"""Which types of TOML values a plain field takes: a whole number may stand for a number, true and false may not."""


@dataclass(slots=True)
class Faults:
    """Every fault of one file."""

    file: str
    found: list[str]

    def note(self, key: str, sentence: str) -> object:
        """Add "file: key: sentence" and return ``FAULT``."""
        self.found.append(f"{self.file}: {key}: {sentence}" if key else f"{self.file}: {sentence}")
        return FAULT


def nearest(word: str, allowed: typing.Iterable[str]) -> str:
    """Say which name was probably meant, else all that are allowed."""
    names = sorted(allowed)
    near = difflib.get_close_matches(word, names, n=1)
    return f"did you mean '{near[0]}'?" if near else f"allowed: {', '.join(names)}"


def join(path: str, key: str) -> str:
    """Name a key inside a table."""
    return f"{path}.{key}" if path else key


def read_table(
    cls: type[T], table: Mapping[str, Any], path: str, faults: Faults, skip: tuple[str, ...] = ()
) -> T | None:
    """Make a ``cls`` of a table; ``None`` when it has faults, all of which are noted. ``skip``: keys read already."""
    hints = typing.get_type_hints(cls)
    fields = {f.name: f for f in dataclasses.fields(cast(Any, cls))}
    for key in table:
        if key not in fields and key not in skip:
            faults.note(join(path, key), f"unknown key; {nearest(key, [*fields, *skip])}")
    values: dict[str, Any] = {}
    for name, field in fields.items():
        if name in table:
            values[name] = _convert(hints[name], table[name], join(path, name), faults, field.metadata)
        elif field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING:
            values[name] = faults.note(
                join(path, name), f"is missing; it must be {_wanted(hints[name], field.metadata)}"
            )
    if any(value is FAULT for value in values.values()):
        return None
    return cls(**values)


def _convert(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    origin: Any = typing.get_origin(hint)
    if "by" in meta:
        made = _choose_each(value, path, faults, meta)
    elif origin in (Union, types.UnionType):
        option = _option(hint, value)
        if option in KINDS and type(value) not in KINDS[option]:
            made = faults.note(path, f"expected {_wanted(hint, meta)}, got {_told(value)}")
        else:
            made = _convert(option, value, path, faults, meta)
    elif origin is Literal:
        made = _literal(hint, value, path, faults)
    elif origin is tuple:
        made = _list(hint, value, path, faults, meta)
    elif dataclasses.is_dataclass(hint):
        made = _table(cast(type, hint), value, path, faults, meta)
    else:
        made = _plain(hint, value, path, faults, meta)
    return made


def _table(cls: type, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    if not isinstance(value, dict):
        return faults.note(path, f"expected {_wanted(cls, meta)}, got {_told(value)}")
    made = read_table(cls, value, path, faults)
    return FAULT if made is None else made


def _option(hint: Any, value: Any) -> Any:
    """Pick the member of a union that a value of this shape is meant to be."""
    options: list[Any] = [a for a in typing.get_args(hint) if a is not type(None)]
    if isinstance(value, dict):
        options.sort(key=lambda option: not dataclasses.is_dataclass(option))
    return options[0]


def _literal(hint: Any, value: Any, path: str, faults: Faults) -> Any:
    allowed = typing.get_args(hint)
    if any(value == a and type(value) is type(a) for a in allowed):
        return value
    listed = ", ".join(str(a) for a in allowed)
    texts = [a for a in allowed if isinstance(a, str)]
    near = difflib.get_close_matches(value, texts, n=1) if isinstance(value, str) else []
    hint_text = f" (did you mean '{near[0]}'?)" if near else ""
    return faults.note(path, f"{_told(value)} is not known; allowed: {listed}{hint_text}")


def _list(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    args = typing.get_args(hint)
    endless = args[-1] is Ellipsis
    if not isinstance(value, list) or not value or (not endless and len(value) != len(args)):
        return faults.note(path, f"expected {_wanted(hint, meta)}, got {_told(value)}")
    each = [args[0] if endless else args[n] for n in range(len(value))]
    made = [_convert(h, v, f"{path}[{n}]", faults, meta) for n, (h, v) in enumerate(zip(each, value, strict=True), 1)]
    if any(item is FAULT for item in made):
        return FAULT
    twice = [item for n, item in enumerate(made) if item in made[:n]]
    if endless and twice:
        return faults.note(path, f"{_told(twice[0])} is there twice; each may stand once")
    return tuple(made)


def _choose_each(value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    key, classes = meta["by"], meta["classes"]
    plain = re.sub(r"\[\d+\]", "", path)
    if not isinstance(value, list) or not value or not all(isinstance(v, dict) for v in value):
        return faults.note(path, f"expected one or more [[{plain}]] blocks, got {_told(value)}")
    made = []
    for number, table in enumerate(value, start=1):
        here = f"{path}[{number}]"
        word = table.get(key)
        if not isinstance(word, str) or word not in classes:
            told = f"{_told(word)} is not known; {nearest(str(word), classes)}" if key in table else "is missing; "
            made.append(faults.note(join(here, key), told + ("" if key in table else nearest("", classes))))
            continue
        item = read_table(classes[word], table, here, faults, skip=(key,))
        made.append(FAULT if item is None else item)
    return FAULT if any(item is FAULT for item in made) else tuple(made)


def _plain(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    if type(value) not in KINDS[hint]:
        return faults.note(path, f"expected {_wanted(hint, meta)}, got {_told(value)}")
    if hint in (str, bool):
        return value
    low, high, above = (meta.get(name) for name in ("low", "high", "above"))
    fits = abs(value) < 1e12 if isinstance(value, int) else math.isfinite(value)
    fits = fits and (low is None or value >= low) and (high is None or value <= high)
    if not fits or (above is not None and value <= above):
        return faults.note(path, f"{_told(value)} is out of range; allowed: {_range(meta)}")
    return hint(value)


def _range(meta: Mapping[str, Any]) -> str:
    low, high, above = (meta.get(name) for name in ("low", "high", "above"))
    start = f"above {above:g}" if above is not None else f"{low:g}" if low is not None else ""
    if start and high is not None:
        return f"{start} up to {high:g}" if above is not None else f"{start} to {high:g}"
    return (start and f"{start} or more") or (f"up to {high:g}" if high is not None else "a finite number")


def _wanted(hint: Any, meta: Mapping[str, Any]) -> str:
    origin = typing.get_origin(hint)
    if origin in (Union, types.UnionType):
        return " or ".join(_wanted(a, meta) for a in typing.get_args(hint) if a is not type(None))
    if "by" in meta:
        return "a list of blocks"
    if origin is Literal:
        return "one of " + ", ".join(str(a) for a in typing.get_args(hint))
    if origin is tuple:
        args = typing.get_args(hint)
        count = "a list of one or more: " if args[-1] is Ellipsis else f"a list of {len(args)}: "
        return count + _wanted(args[0], meta)
    if dataclasses.is_dataclass(hint):
        return "a table with " + ", ".join(f.name for f in dataclasses.fields(hint))
    names = {float: "a number", int: "a whole number", str: "text in quotes", bool: "true or false"}
    limits = "" if hint in (str, bool) or all(v is None for v in meta.values()) else f" ({_range(meta)})"
    return names[hint] + limits


def _told(value: Any) -> str:
    """Show a value as it stands in the file, shortened."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"
