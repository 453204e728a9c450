"""``shoots/shoot-1.json``: which fields stood for the camera, when, and ``shoot-1.toml``, the list they are of."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from groundwork.tables import LOOSE, limits, one_of, read
from panelwear.atomic import make_folder, sha256_of, write_json, write_whole
from panelwear.errors import FileFault, PanelwearError
from panelwear.folder.files import load_json, load_toml
from patterns.frame import Codes

SHOOTS = "shoots"
"""Folder of a checkpoint that holds them."""
FORMAT = "panelwear shoot 1"
_NAME = re.compile(r"shoot-(\d+)\Z")
_CODE = limits(low=0, high=255)


@dataclass(frozen=True, slots=True)
class Stood:
    """Between which moments something stood unchanged."""

    from_utc: str
    to_utc: str


@dataclass(frozen=True, slots=True)
class ShotRecord:
    """One shot of a shoot; without ``from_utc`` it was not taken yet."""

    name: str
    kind: Literal["title-card", "dots", "stairs", "black", "field", "even-surface"]
    frames: int = field(metadata=limits(low=1))
    codes: Codes = field(default=(0.0, 0.0, 0.0), metadata=_CODE)
    level_basis: Literal["code", "measured-response", "assumed-response"] = "code"
    target_cd_m2: float | None = None
    exposure_s: float | None = None
    """As it was suggested; what the camera did stands in the photograph."""
    pose: int = field(default=0, metadata=limits(low=0, high=9))
    frame_sha256: str | None = None
    from_utc: str | None = None
    to_utc: str | None = None
    before: tuple[Stood, ...] = field(default=(), metadata=LOOSE)
    """Earlier times, photographs of which do not count: it was taken once more."""
    note: str | None = None
    """What the program noticed while it stood."""
    skipped: bool = False

    @property
    def is_done(self) -> bool:
        """Whether it was taken, or left out for good."""
        return self.skipped or self.to_utc is not None

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say where its times cannot be told."""
        if (self.from_utc is None) != (self.to_utc is None):
            yield "to_utc", "stands with from_utc or not at all"
        for key, moment in (("from_utc", self.from_utc), ("to_utc", self.to_utc)):
            if moment is not None and _moment(moment) is None:
                yield key, f"'{moment}' is no moment such as 2026-02-03T18:00:00.000Z"


@dataclass(frozen=True, slots=True)
class ShootRecord:
    """One shoot of a checkpoint."""

    format: str = field(metadata=one_of([FORMAT]))
    shoot: str
    list_name: str
    list_sha256: str
    status: Literal["running", "stopped", "done"]
    seed: int
    started_utc: str
    shots: tuple[ShotRecord, ...]
    ended_utc: str | None = None
    poses: bool = False
    f_number: float | None = None
    iso: float | None = None
    refresh_hz: float | None = None
    screen: dict[str, Any] = field(default_factory=dict)
    software: str = ""
    panel: str = ""
    """What its title card calls the panel: the folder's name when it was begun; empty in older records."""

    @property
    def number(self) -> int:
        """1 for ``shoot-1``."""
        found = _NAME.match(self.shoot)
        return int(found[1]) if found else 0

    @property
    def missing(self) -> int | None:
        """Index of the first shot that is still to be taken; ``None``: none is."""
        return next((n for n, one in enumerate(self.shots) if not one.is_done), None)

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say where it has no name, or shots have one twice."""
        if not _NAME.match(self.shoot):
            yield "shoot", f"'{self.shoot}' must be shoot-1, shoot-2 and so on"
        names = [one.name for one in self.shots]
        for name in sorted({name for name in names if names.count(name) > 1}):
            yield "shots", f"has '{name}' twice; each name may stand once"


def _moment(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def checked_shoot(data: Any, file: str) -> ShootRecord:
    """Return a shoot's record that can be worked with; else ``FileFault`` with every fault."""
    stated = _without_null(data)
    return read(ShootRecord, stated, file, FileFault, unknown_too=False)


def _without_null(data: Any) -> Any:
    """Take ``null`` for not there."""
    if isinstance(data, dict):
        return {key: _without_null(value) for key, value in data.items() if value is not None}
    return [_without_null(one) for one in data] if isinstance(data, list) else data


def record_path(checkpoint_dir: Path, shoot: str) -> Path:
    """Return where the record of a shoot lies."""
    return checkpoint_dir / SHOOTS / f"{shoot}.json"


def list_path(checkpoint_dir: Path, shoot: str) -> Path:
    """Return where the list of a shoot lies, as it was run."""
    return checkpoint_dir / SHOOTS / f"{shoot}.toml"


def keep_list(checkpoint_dir: Path, shoot: str, source: bytes) -> None:
    """Keep the list of a shoot exactly as it is run; ``StorageFault`` when it cannot be."""
    make_folder(checkpoint_dir / SHOOTS)
    write_whole(list_path(checkpoint_dir, shoot), source)


def save_shoot(checkpoint_dir: Path, record: ShootRecord) -> None:
    """Write the record of a shoot; ``StorageFault`` when it cannot be."""
    make_folder(checkpoint_dir / SHOOTS)
    write_json(record_path(checkpoint_dir, record.shoot), asdict(record))


def _paths(checkpoint_dir: Path, ending: str) -> list[Path]:
    found = [path for path in (checkpoint_dir / SHOOTS).glob(f"shoot-*.{ending}") if _NAME.match(path.stem)]
    return sorted(found, key=lambda path: int(path.stem.removeprefix("shoot-")))


def shoots_of(checkpoint_dir: Path) -> tuple[ShootRecord, ...]:
    """Read all shoots of a checkpoint, oldest first; ``FileFault`` where one cannot be read."""
    return tuple(checked_shoot(load_json(path), f"{SHOOTS}/{path.name}") for path in _paths(checkpoint_dir, "json"))


def unfinished_shoot(checkpoint_dir: Path) -> ShootRecord | None:
    """Return the last shoot of a checkpoint where it was interrupted; an earlier one was given up for it."""
    last = shoots_of(checkpoint_dir)[-1:]
    return last[0] if last and last[0].missing is not None else None


def next_name(checkpoint_dir: Path) -> str:
    """Return the name of a new shoot: of none that left any file."""
    taken = [int(path.stem.removeprefix("shoot-")) for end in ("json", "toml") for path in _paths(checkpoint_dir, end)]
    return f"shoot-{max(taken, default=0) + 1}"


def shoot_faults(checkpoint_dir: Path) -> tuple[str, ...]:
    """Say what is wrong with the shoots of a checkpoint and their lists."""
    faults: list[str] = []
    for path in _paths(checkpoint_dir, "json"):
        try:
            record = checked_shoot(load_json(path), f"{SHOOTS}/{path.name}")
        except PanelwearError as error:
            faults += getattr(error, "problems", (str(error),))
            continue
        faults += _list_faults(checkpoint_dir, path, record)
    return tuple(faults)


def _list_faults(checkpoint_dir: Path, path: Path, record: ShootRecord) -> Iterator[str]:
    from sequences import errors, shoots

    where = f"{SHOOTS}/{path.name}"
    if record.shoot != path.stem:
        yield f"{where}: shoot: is '{record.shoot}'; the file is of {path.stem}"
    listed = list_path(checkpoint_dir, path.stem)
    if not listed.exists():
        yield f"{SHOOTS}/{listed.name}: is missing; it is the shooting list as it was run"
        return
    if sha256_of(listed) != record.list_sha256:
        yield f"{where}: list_sha256: is not the digest of {listed.name}; another program changed it"
    try:
        shoots.from_data(load_toml(listed), f"{SHOOTS}/{listed.name}")
    except (PanelwearError, errors.SequenceError) as error:
        yield from getattr(error, "problems", (str(error),))
