"""Tell what a file or folder of ours is by its content, and list all its faults."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault, PanelwearError
from panelwear.folder import checkpoint, panel, probe_settings
from panelwear.folder.toml_file import load_toml
from panelwear.journal import store
from panelwear.journal.columns import FLAGS
from panelwear.journal.row import Row


@dataclass(frozen=True, slots=True)
class Checked:
    """What a path is and what is wrong with it."""

    what: str
    problems: tuple[str, ...] = ()


def _faults_of(action: Callable[[], object]) -> tuple[str, ...]:
    """Run a reader and return its faults; foreign error trees of the reader packages are translated."""
    from probe_io.errors import InstrumentFileError
    from sequences.errors import SequenceError

    try:
        action()
    except (FileFault, InstrumentFileError, SequenceError) as error:
        return tuple(error.problems)
    except PanelwearError as error:
        return (str(error),)
    return ()


def _check_probe(data: dict[str, Any], folder: Path) -> None:
    from panelwear.uncertainty.meter import from_mapping

    settings = probe_settings.parse_probe(data)
    from_mapping(settings.uncertainty)
    if not settings.correction:
        return
    if not (folder / settings.correction).exists():
        raise FileFault((f"probe.toml: correction: there is no file '{settings.correction}' beside it",))
    from panelwear.colorimetry.correction import load_correction

    load_correction(folder / settings.correction)


def _check_panel(data: dict[str, Any], folder: Path) -> None:
    from panelwear.levels.assumed import assumed_response

    found = panel.parse_panel(data, folder)
    assumed_response(found.assumed_response)


def check_toml(path: Path) -> Checked:
    """Check a TOML file, whichever of ours it is."""
    from panelwear.colorimetry import correction
    from probe_io import instrument_file
    from sequences import reader

    try:
        data = load_toml(path)
    except PanelwearError as error:
        return Checked("TOML file", tuple(getattr(error, "problems", (str(error),))))
    kinds: tuple[tuple[str, Callable[[dict[str, Any]], bool], Callable[[], object]], ...] = (
        ("panel file", panel.looks_like, lambda: _check_panel(data, path.parent)),
        ("instrument file", instrument_file.looks_like, lambda: instrument_file.load(path)),
        ("sequence file", reader.looks_like, lambda: reader.load(path)),
        ("probe file", probe_settings.looks_like, lambda: _check_probe(data, path.parent)),
        ("correction file", correction.looks_like, lambda: correction.parse_correction(data, path.name)),
    )
    for what, looks_like, read in kinds:
        if looks_like(data):
            return Checked(what, _faults_of(read))
    ours = "panel, probe, instrument, sequence or correction file"
    return Checked("TOML file", (f"{path.name}: is not one of ours ({ours}): it has none of their keys",))


def _row_faults(rows: list[Row]) -> list[str]:
    faults = []
    for number, row in enumerate(rows, start=1):
        if row.row != number:
            faults.append(f"readings.csv: record {number + 1}: row is {row.row}, expected {number}; a line is missing")
            break
        unknown = [flag for flag in row.flags.split() if flag not in FLAGS]
        if unknown:
            faults.append(f"readings.csv: record {number + 1}: flags: unknown '{unknown[0]}'")
        if row.Y_cd_m2 is not None and row.Y_cd_m2 < -1:
            faults.append(f"readings.csv: record {number + 1}: Y_cd_m2: {row.Y_cd_m2:g} cd/m² cannot be")
    return faults


def check_readings(path: Path) -> Checked:
    """Check a ``readings.csv``."""
    torn = len(path.read_bytes()) - store.whole_length(path.read_bytes())
    faults = [f"{path.name}: the last {torn} bytes are a torn line; 'panelwear resume' cuts it"] if torn else []
    try:
        faults += _row_faults(store.read(path, Row))
    except FileFault as error:
        faults += error.problems
    return Checked("readings", tuple(faults))


def check_csv(path: Path) -> Checked:
    """Check a CSV of ours, recognised by its header line."""
    from panelwear.byeye import check as by_eye

    if by_eye.looks_like(path) is None:
        return check_readings(path)
    return Checked("what the eye found", by_eye.faults(path))


def check_checkpoint(folder: Path) -> Checked:
    """Check a checkpoint's folder: record, readings, digests at closing."""
    try:
        found = checkpoint.load(folder)
    except PanelwearError as error:
        return Checked("checkpoint", tuple(getattr(error, "problems", (str(error),))))
    faults: list[str] = list(found.changed_since_close())
    if found.readings_path.exists():
        faults += [f"{found.name}/{p}" for p in check_readings(found.readings_path).problems]
    for name in ("marks.csv", "nulls.csv"):
        if (folder / name).exists():
            faults += [f"{found.name}/{p}" for p in _eye_faults(folder / name)]
    for sitting in found.record.get("sittings", []):
        file = folder / sitting["sequence_file"]
        if not file.exists():
            faults.append(f"{found.name}/{file.name}: is missing; it is the sequence as it was run")
    return Checked("checkpoint", tuple(faults))


def _eye_faults(path: Path) -> tuple[str, ...]:
    from panelwear.byeye import check as by_eye

    return by_eye.faults(path)


def check_folder(folder: Path) -> Checked:
    """Check a panel folder with all its checkpoints, or one checkpoint."""
    if (folder / "checkpoint.json").exists():
        return check_checkpoint(folder)
    if not (folder / "panel.toml").exists():
        return Checked("folder", (f"{folder}: holds neither panel.toml nor checkpoint.json; it is not one of ours",))
    faults = list(check_toml(folder / "panel.toml").problems)
    if (folder / "probe.toml").exists():
        faults += check_toml(folder / "probe.toml").problems
    for path in sorted((folder / "checkpoints").glob("*/")):
        faults += check_checkpoint(path).problems
    return Checked("panel folder", tuple(faults))


def _check_json(path: Path) -> Checked:
    if path.name == "checkpoint.json":
        return check_checkpoint(path.parent)
    try:
        json.loads(path.read_text(encoding="utf-8"))
    except (json.JSONDecodeError, UnicodeDecodeError) as error:
        return Checked("file", (f"{path.name}: is not one of ours: {error}",))
    return Checked("JSON file")


def check(path: Path) -> Checked:
    """Check a file or folder of ours."""
    if not path.exists():
        return Checked("path", (f"{path}: there is no such file or folder",))
    if path.is_dir():
        return check_folder(path)
    return {".toml": check_toml, ".csv": check_csv}.get(path.suffix, _check_json)(path)
