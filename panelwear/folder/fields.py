"""Read the keys of a TOML table one by one and collect every fault as "file: key: what is wrong, what is allowed"."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault, StorageFault


def load_toml(path: Path) -> dict[str, Any]:
    """Parse a TOML file; ``FileFault`` names line and column, ``StorageFault`` a file that is not there."""
    try:
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        raise StorageFault(f"{path}: there is no such file; 'panelwear new DIR' makes a panel folder") from None
    except UnicodeDecodeError as error:
        raise FileFault((f"{path.name}: byte {error.start}: not UTF-8; save it as UTF-8",)) from None
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileFault((f"{path.name}: {error}",)) from None


@dataclass(slots=True)
class Fields:
    """One table of a file, read key by key; ``problems`` is shared by all tables of the file."""

    table: Mapping[str, Any]
    where: str
    """File name and key path so far, such as ``panel.toml: zones[2]``."""
    problems: list[str]
    seen: set[str] = field(default_factory=set)

    def fault(self, key: str, sentence: str) -> None:
        """Note one fault."""
        joint = "." if "[" in self.where or ": " in self.where else ": "
        self.problems.append(f"{self.where}{joint}{key}: {sentence}")

    def _get(self, key: str, required: bool) -> Any:
        self.seen.add(key)
        if key not in self.table and required:
            self.fault(key, "is missing")
        return self.table.get(key)

    def text(self, key: str, default: str | None = None, *, allowed: Iterable[str] = ()) -> str:
        """Read a string, of ``allowed`` when given."""
        value = self._get(key, default is None)
        if value is None:
            return default or ""
        if not isinstance(value, str):
            self.fault(key, f"expected text in quotes, got {value!r}")
            return default or ""
        choices = tuple(allowed)
        if choices and value not in choices:
            self.fault(key, f"'{value}' is not one of {', '.join(choices)}")
        return value

    def number(self, key: str, default: float | None = None, *, low: float = -1e300, high: float = 1e300) -> float:
        """Read a number within ``low..high``."""
        value = self._get(key, default is None)
        if value is None:
            return 0.0 if default is None else default
        if type(value) not in (int, float):
            self.fault(key, f"expected a number, got {value!r}")
        elif not low <= value <= high:
            self.fault(key, f"{value:g} is outside {low:g}..{high:g}")
        else:
            return float(value)
        return low if default is None else default

    def numbers(self, key: str, count: int, *, default: tuple[float, ...] | None = None) -> tuple[float, ...]:
        """Read a list of ``count`` numbers."""
        value = self._get(key, default is None)
        if value is None:
            return default or (0.0,) * count
        if isinstance(value, list) and len(value) == count and all(type(v) in (int, float) for v in value):
            return tuple(float(v) for v in value)
        self.fault(key, f"expected a list of {count} numbers, got {value!r}")
        return default or (0.0,) * count

    def tables(self, key: str) -> list[Fields]:
        """Read an array of tables."""
        value = self._get(key, False)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.fault(key, f"expected [[{key}]] blocks")
            return []
        return [Fields(v, f"{self.where}: {key}[{n}]", self.problems) for n, v in enumerate(value, start=1)]

    def mapping(self, key: str) -> dict[str, Any]:
        """Read a sub-table as it stands; whoever understands it checks it."""
        value = self._get(key, False)
        if value is None:
            return {}
        if not isinstance(value, dict):
            self.fault(key, f"expected a [{key}] table")
            return {}
        return value

    def finish(self) -> None:
        """Note every key that nobody asked for, with the nearest name."""
        for key in self.table:
            if key not in self.seen:
                near = difflib.get_close_matches(key, sorted(self.seen), n=1)
                hint = f"did you mean '{near[0]}'?" if near else f"allowed: {', '.join(sorted(self.seen))}"
                self.fault(key, f"unknown key; {hint}")
