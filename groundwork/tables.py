"""Plain data into frozen dataclasses: types, ranges, names and choices are checked, every fault is collected.

A dataclass is the description of a table: a key for each field. Metadata of a field says what its type cannot
(``limits``, ``one_of``, ``made_by``, ``chosen``, ``called``, ``LOOSE``, ``NOT_A_KEY``; joined with ``|``). A method
``faults`` yields key and sentence of what does not go together.
"""

from __future__ import annotations

import dataclasses
import difflib
import re
import types
import typing
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from typing import Any, Literal, TypeVar, Union, cast

from groundwork.documents import Error, endless, printable, walked

T = TypeVar("T")

FAULT = object()
"""Stands for a value that has a fault; the fault is noted already."""

LOOSE: dict[str, Any] = {"loose": True}
"""Metadata of a list that may be empty and may hold the same twice."""
NOT_A_KEY: dict[str, Any] = {"own": True}
"""Metadata of a field that the program fills in and no file may state."""

KINDS: dict[Any, tuple[type, ...]] = {float: (int, float), int: (int,), str: (str,), bool: (bool,)}
"""Which types of values a plain field takes: a whole number may stand for a number, true and false may not."""

UNITS = {"cd_m2": "cd/m²", "mm": "mm", "px": "px", "hz": "Hz", "s": "s", "percent": "%", "hours": "h",
         "hours_low": "h", "hours_high": "h"}  # fmt: skip
"""Unit → how the last part of a key's name tells it."""


def limits(*, low: float | None = None, high: float | None = None, above: float | None = None) -> dict[str, Any]:
    """Make the metadata of a field whose numbers (each of a list) lie within ``low..high``, and above ``above``."""
    return {"low": low, "high": high, "above": above}


def one_of(choices: Iterable[str]) -> dict[str, Any]:
    """Make the metadata of a field that takes one of some texts; ``Literal`` does where they are few and fixed."""
    return {"choices": tuple(choices)}


def made_by(parse: Callable[[Any, Any], Any], takes: type = str, wanted: str = "text in quotes") -> dict[str, Any]:
    """Make the metadata of a field that a function makes.

    Args:
        parse: called with the value and with ``Faults.about``; a ``ValueError`` of it is the fault's sentence.
        takes: type of the value in the file.
        wanted: what a value of another type is told to have been expected.
    """
    return {"parse": parse, "takes": takes, "wanted": wanted}


def called(key: str) -> dict[str, Any]:
    """Make the metadata of a field whose key in the file has another name."""
    return {"key": key}


def chosen(key: str, classes: Mapping[str, type]) -> Any:
    """Make a required dataclass field: a list of tables, each of the class its ``key`` names."""
    return dataclasses.field(metadata={"by": key, "classes": classes})


@dataclasses.dataclass(slots=True)
class Faults:
    """Every fault of one file."""

    file: str
    about: Any = None
    """What functions that make values must know besides, such as the file's decimal sign."""
    unknown_too: bool = True
    """Whether an unknown key is a fault: in what a person writes it is a slip of the pen."""
    noted: list[str] = dataclasses.field(default_factory=list)

    def note(self, key: str, sentence: str) -> object:
        """Add "file: key: sentence" and return ``FAULT``."""
        self.noted.append(printable(": ".join(part for part in (self.file, key, sentence) if part)))
        return FAULT


def read(cls: type[T], data: object, file: str, error: Error, *, about: Any = None, unknown_too: bool = True) -> T:
    """Make a ``cls`` of a file's plain data; raises ``error`` of all sentences when there is a fault.

    Args:
        cls: the frozen dataclass that describes the table.
        data: what a parser made of the file; whatever is no table is a fault.
        file: name of the file, the beginning of each sentence; empty: none.
        error: called with all sentences, each package's own error.
        about: see ``Faults``.
        unknown_too: see ``Faults``.
    """
    faults = Faults(file, about, unknown_too)
    made = _table(cls, data, "", faults, {})
    if faults.noted:
        raise error(tuple(faults.noted))
    return cast(T, made)


def nearest(word: str, allowed: Iterable[str], there_are: str = "allowed:") -> str:
    """Say which name was probably meant, else all that there are."""
    names = sorted(allowed)
    near = difflib.get_close_matches(word, names, n=1)
    return f"did you mean '{near[0]}'?" if near else f"{there_are} {', '.join(names)}"


def read_table(
    cls: type[T], table: Mapping[str, Any], path: str, faults: Faults, skip: tuple[str, ...] = ()
) -> T | None:
    """Make a ``cls`` of a table; ``None`` when it has faults, all of which are noted. ``skip``: keys read already."""
    keys = keys_of(cast(Any, cls))
    if faults.unknown_too:
        for key in table:
            if key not in keys and key not in skip:
                faults.note(_join(path, key), f"unknown key; {nearest(key, [*keys, *skip])}")
    values: dict[str, Any] = {}
    for key, (field, hint) in keys.items():
        here = _join(path, key)
        if key in table:
            values[field.name] = _convert(hint, table[key], here, faults, field.metadata)
        elif field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING:
            values[field.name] = faults.note(here, f"is missing; it must be {_wanted(hint, field.metadata, here)}")
    between = [faults.note(_join(path, key), sentence) for key, sentence in _between(cls, values)]
    return None if between or any(value is FAULT for value in values.values()) else cls(**values)


def _between(cls: Any, values: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Ask a table what does not go together in it, up to where a value is needed that has a fault of its own."""
    if not hasattr(cls, "faults"):
        return
    sound = {name: value for name, value in values.items() if value is not FAULT}
    partial = object.__new__(cls)
    for field in dataclasses.fields(cls):
        if field.name in sound:
            object.__setattr__(partial, field.name, sound[field.name])
        elif field.name not in values and field.default is not dataclasses.MISSING:
            object.__setattr__(partial, field.name, field.default)
        elif field.name not in values and field.default_factory is not dataclasses.MISSING:
            object.__setattr__(partial, field.name, field.default_factory())
    try:
        yield from partial.faults()
    except AttributeError as error:
        if error.name not in values or error.name in sound:
            raise


@cache
def keys_of(cls: Any) -> dict[str, tuple[dataclasses.Field[Any], Any]]:
    """List the keys of a dataclass's table, each with its field and the type that it states."""
    hints = typing.get_type_hints(cls)
    fields = [f for f in dataclasses.fields(cls) if "own" not in f.metadata]
    return {f.metadata.get("key", f.name): (f, hints[f.name]) for f in fields}


def _join(path: str, key: str) -> str:
    """Name a key inside a table."""
    return f"{path}.{key}" if path and key else path or key


def _convert(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    origin: Any = typing.get_origin(hint)
    if "by" in meta:
        made = _choose_each(value, path, faults, meta)
    elif origin in (Union, types.UnionType):
        made = _one_of_union(hint, value, path, faults, meta)
    elif origin is Literal:
        made = _literal(typing.get_args(hint), value, path, faults)
    elif origin is tuple:
        made = _list(hint, value, path, faults, meta)
    elif origin is dict:
        made = _free_table(hint, value, path, faults, meta)
    elif "parse" in meta:
        made = _parsed(hint, value, path, faults, meta)
    elif dataclasses.is_dataclass(hint):
        made = _table(cast(type, hint), value, path, faults, meta)
    else:
        made = _plain(hint, value, path, faults, meta)
    return made


def _refused(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    return faults.note(path, f"expected {_wanted(hint, meta, path)}, got {told(value)}")


def _table(cls: type, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    if not isinstance(value, dict):
        return _refused(cls, value, path, faults, meta)
    made = read_table(cls, value, path, faults)
    return FAULT if made is None else made


def _free_table(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    """Read a table of any keys; with ``Any`` for its values they stay as they are, but numbers are numbers."""
    if not isinstance(value, dict):
        return _refused(hint, value, path, faults, meta)
    inner = typing.get_args(hint)[1]
    if inner is Any:
        wrong = [faults.note(key, f"{one} is no number") for key, one in walked(value, path) if endless(one)]
        return FAULT if wrong else value
    made = {key: _convert(inner, one, _join(path, key), faults, meta) for key, one in value.items()}
    return FAULT if any(one is FAULT for one in made.values()) else made


def _one_of_union(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    """Read a value as the member of a union that its shape shows it to be meant for."""
    options = [a for a in typing.get_args(hint) if a is not type(None)]
    if value is None and len(options) < len(typing.get_args(hint)):
        return None
    fitting = [
        option
        for option in options
        if (isinstance(value, dict) and dataclasses.is_dataclass(option)) or type(value) in KINDS.get(option, ())
    ]
    if not fitting and "parse" not in meta and any(option in KINDS for option in options):
        return _refused(hint, value, path, faults, meta)
    return _convert((fitting or options)[0], value, path, faults, meta)


def _literal(allowed: tuple[Any, ...], value: Any, path: str, faults: Faults) -> Any:
    if any(value == a and type(value) is type(a) for a in allowed):
        return value
    listed = ", ".join(str(a) for a in allowed)
    texts = [a for a in allowed if isinstance(a, str)]
    near = difflib.get_close_matches(value, texts, n=1) if isinstance(value, str) else []
    hint_text = f" (did you mean '{near[0]}'?)" if near else ""
    return faults.note(path, f"{told(value)} is not known; allowed: {listed}{hint_text}")


def _list(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    args = typing.get_args(hint)
    any_length, loose = args[-1] is Ellipsis, "loose" in meta
    fits = isinstance(value, list) and (bool(value) or loose) if any_length else _has_length(value, len(args))
    if not fits:
        return _refused(hint, value, path, faults, meta)
    each = [args[0] if any_length else args[n] for n in range(len(value))]
    made = [_convert(h, v, f"{path}[{n}]", faults, meta) for n, (h, v) in enumerate(zip(each, value, strict=True), 1)]
    if any(item is FAULT for item in made):
        return FAULT
    if any_length and not loose and len(set(made)) < len(made):
        twice = next(item for n, item in enumerate(made) if item in made[:n])
        return faults.note(path, f"{told(twice)} is there twice; each may stand once")
    return tuple(made)


def _has_length(value: object, length: int) -> bool:
    return isinstance(value, list) and len(value) == length


def _choose_each(value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    key, classes = meta["by"], meta["classes"]
    if not isinstance(value, list) or not value or not all(isinstance(v, dict) for v in value):
        return faults.note(path, f"expected one or more {_blocks(path)}, got {told(value)}")
    made = []
    for number, table in enumerate(value, start=1):
        here = f"{path}[{number}]"
        word = table.get(key)
        if isinstance(word, str) and word in classes:
            item = read_table(classes[word], table, here, faults, skip=(key,))
            made.append(FAULT if item is None else item)
        elif key in table:
            made.append(faults.note(_join(here, key), f"{told(word)} is not known; {nearest(str(word), classes)}"))
        else:
            made.append(faults.note(_join(here, key), f"is missing; {nearest('', classes)}"))
    return FAULT if any(item is FAULT for item in made) else tuple(made)


def _parsed(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    if not isinstance(value, meta["takes"]):
        return _refused(hint, value, path, faults, meta)
    try:
        return meta["parse"](value, faults.about)
    except ValueError as error:
        return faults.note(path, str(error))


def _plain(hint: Any, value: Any, path: str, faults: Faults, meta: Mapping[str, Any]) -> Any:
    if "choices" in meta:
        return _literal(meta["choices"], value, path, faults)
    if type(value) not in KINDS[hint]:
        return _refused(hint, value, path, faults, meta)
    if hint in (str, bool):
        return value
    if endless(value):
        return faults.note(path, f"{value} is no number; expected {_wanted(hint, meta, path)}")
    low, high, above = (meta.get(name) for name in ("low", "high", "above"))
    if (
        (isinstance(value, int) and value.bit_length() > 63)
        or (low is not None and value < low)
        or (high is not None and value > high)
        or (above is not None and value <= above)
    ):
        return faults.note(path, f"{told(value)} is out of range; allowed: {_range(meta, path)}")
    return hint(value)


def _range(meta: Mapping[str, Any], path: str) -> str:
    """Write which numbers are allowed, with the unit that the key's name ends in."""
    low, high, above = (meta.get(name) for name in ("low", "high", "above"))
    start = f"above {above:.10g}" if above is not None else f"{low:.10g}" if low is not None else ""
    if start and high is not None:
        span = f"{start} up to {high:.10g}" if above is not None else f"{start} to {high:.10g}"
    else:
        span = (start and f"{start} or more") or (f"up to {high:.10g}" if high is not None else "a finite number")
    key = _unnumbered(path).rpartition(".")[2]
    unit = next((unit for end, unit in UNITS.items() if key == end or key.endswith(f"_{end}")), "")
    return f"{span} {unit}".rstrip()


def _blocks(path: str) -> str:
    return f"[[{_unnumbered(path)}]] blocks"


def _unnumbered(path: str) -> str:
    return re.sub(r"\[\d+\]", "", path)


def _wanted(hint: Any, meta: Mapping[str, Any], path: str) -> str:
    """Say what a key takes."""
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin in (Union, types.UnionType):
        wanted = " or ".join(_wanted(a, meta, path) for a in args if a is not type(None))
    elif "by" in meta:
        wanted = "a list of blocks"
    elif origin is Literal or "choices" in meta:
        wanted = "one of " + ", ".join(str(a) for a in meta.get("choices", args))
    elif origin is tuple:
        wanted = _wanted_list(args, meta, path)
    elif "parse" in meta:
        wanted = meta["wanted"]
    elif origin is dict:
        wanted = "a table" if args[1] is Any else f"a table of names, each with {_wanted(args[1], meta, path)}"
    elif dataclasses.is_dataclass(hint):
        wanted = "a table with " + ", ".join(keys_of(cast(Any, hint)))
    else:
        stated = hint in (float, int) and any(meta.get(name) is not None for name in ("low", "high", "above"))
        names = {float: "a number", int: "a whole number", str: "text in quotes", bool: "true or false"}
        wanted = f"{names[hint]} ({_range(meta, path)})" if stated else names[hint]
    return wanted


def _wanted_list(args: tuple[Any, ...], meta: Mapping[str, Any], path: str) -> str:
    if dataclasses.is_dataclass(args[0]) and "parse" not in meta:
        return _blocks(path) if "loose" in meta else f"one or more {_blocks(path)}"
    if args[-1] is not Ellipsis:
        each = dict.fromkeys(_wanted(one, meta, path) for one in args)
        return f"a list of {len(args)}: {', '.join(each)}"
    inner = _wanted(args[0], meta, path)
    return f"a list of: {inner}" if "loose" in meta else f"a list of one or more: {inner}"


def told(value: Any) -> str:
    """Show a value as it stands in the file, shortened."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        shown = len(value) <= 4 and not any(isinstance(one, list) for one in value)
        return f"[{', '.join(map(told, value))}]" if shown else f"a list of {len(value)}"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number of very many digits"
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"
