"""Tell what a file or folder of ours is by its content, and list all its faults."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from groundwork.clock import RealClock
from panelwear.errors import FileFault, PanelwearError
from panelwear.figures.circumstances import circumstances_of
from panelwear.folder import checkpoint, panel, set_aside
from panelwear.folder.falling_hours import falling_hours
from panelwear.folder.files import load_toml
from panelwear.folder.integrity import copy_faults, fingerprint_of, readings_faults
from panelwear.folder.map_faults import map_faults
from panelwear.folder.odd_start import start_fault, start_remark
from panelwear.folder.overlapping_hours import overlapping_hours
from panelwear.folder.shoots import shoot_faults
from panelwear.readings import store
from panelwear.readings.by_column import read_columns
from panelwear.readings.copies import Fingerprint
from panelwear.readings.marks import FILE as MARKS
from panelwear.readings.matches import FILE as MATCHES
from panelwear.readings.matches import FORMER_FILE as FORMER_MATCHES
from panelwear.readings.row import Row
from panelwear.readings.soundness import impossible_rows, row_faults
from panelwear.readings.stability import FILE as STABILITY
from panelwear.readings.stability import stability_faults
from panelwear.upkeep.check_json import check_json, response_faults
from panelwear.upkeep.made import nothing_to_check
from panelwear.usage.maps import load_map
from panelwear.usage.maps import map_faults as dose_map_faults
from panelwear.usage.records import FILE as USAGE
from panelwear.usage.records import FOLDER as USAGE_MAPS
from panelwear.usage.records import looks_like_usage, misfits, parse_usage
from panelwear.usage.told import begun_of, days_of


@dataclass(frozen=True, slots=True)
class Checked:
    """What a path is and what is wrong with it."""

    what: str
    problems: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    """What is no fault of the file but has to be known: readings that cannot be light."""


def _faults_of(action: Callable[[], object]) -> tuple[str, ...]:
    """Run a reader and return its faults."""
    from probe_io.errors import InstrumentFileError
    from sequences.errors import SequenceError

    try:
        action()
    except (PanelwearError, InstrumentFileError, SequenceError) as error:
        return _told(error)
    return ()


def _told(error: Exception) -> tuple[str, ...]:
    """Return the sentences of an error, of the reader packages' trees too."""
    return tuple(getattr(error, "problems", (str(error),)))


def check_probe(data: dict[str, Any], folder: Path) -> None:
    """Read a parsed ``probe.toml`` with all it names; ``FileFault`` with every fault."""
    settings = panel.parse_probe(data)
    if not settings.correction:
        return
    if not (folder / settings.correction).exists():
        raise FileFault((f"probe.toml: correction: there is no file '{settings.correction}' beside it",))
    from panelwear.colorimetry.correction import load_correction

    load_correction(folder / settings.correction)


def check_panel(data: dict[str, Any], folder: Path) -> None:
    """Read a parsed ``panel.toml``, its assumed response too; ``FileFault`` with every fault."""
    from panelwear.panel.assumed import assumed_response

    found = panel.parse_panel(data, folder)
    faults = (
        *_faults_of(lambda: panel.refuse_unaskable(found)),
        *_faults_of(lambda: assumed_response(found.assumed_response)),
    )
    if faults:
        raise FileFault(faults)


def check_usage(data: dict[str, Any], folder: Path) -> None:
    """Read a parsed ``usage.toml``, held against the panel beside it; ``FileFault`` with every fault."""
    usage = parse_usage(data)
    if not (folder / "panel.toml").exists():
        return
    own = panel.load_panel(folder)
    there, lost = checkpoint.survey(folder)
    days = days_of(begun_of(there), lost)
    faults = (*misfits(usage, [zone.name for zone in own.zones], days), *dose_map_faults(usage, own))
    if faults:
        raise FileFault(faults)


def check_dose_map(path: Path) -> Checked:
    """Check a dose map of the folder ``usage``; numbers of a map of photographs are told by its JSON file."""
    if path.parent.name != USAGE_MAPS:
        return Checked("numbers of a map: its JSON file of the same name is what can be checked")
    own = panel.load_panel(path.parent.parent)
    return Checked("dose map", _faults_of(lambda: load_map(own, path.name, "")))


def check_toml(path: Path) -> Checked:
    """Check a TOML file, whichever of ours it is."""
    from panelwear.colorimetry import correction
    from probe_io import instrument_file
    from sequences import reader, shoots

    try:
        data = load_toml(path)
    except PanelwearError as error:
        return Checked("TOML file", _told(error))
    kinds: tuple[tuple[str, Callable[[dict[str, Any]], bool], Callable[[], object]], ...] = (
        ("panel file", panel.looks_like_panel, lambda: check_panel(data, path.parent)),
        ("instrument file", instrument_file.looks_like, lambda: instrument_file.load(path)),
        ("sequence file", reader.looks_like, lambda: reader.load(path)),
        ("shooting list", shoots.looks_like, lambda: shoots.source_of(path)),
        ("usage file", looks_like_usage, lambda: check_usage(data, path.parent)),
        ("probe file", panel.looks_like_probe, lambda: check_probe(data, path.parent)),
        ("correction file", correction.looks_like, lambda: correction.parse_correction(data, path.name)),
    )
    for what, looks_like, read in kinds:
        if looks_like(data):
            return Checked(what, _faults_of(read))
    ours = "panel, probe, usage, instrument, sequence or correction file, or shooting list"
    return Checked("TOML file", (f"{path.name}: is no file of panelwear ({ours}): it has none of their keys",))


def check_readings(path: Path) -> Checked:
    """Check a ``readings.csv``: what a run reads of it, and what it would cut."""
    torn = store.torn_bytes(path)
    told = [f"{path.name}: the last {torn} bytes are a torn line; 'panelwear resume' cuts it"] if torn else []
    try:
        rows = read_columns(path, Row)
    except PanelwearError as error:
        return Checked("readings", (*told, *_told(error)))
    return Checked("readings", (*told, *row_faults(rows, path.name)), tuple(impossible_rows(rows, path.name)))


def check_csv(path: Path) -> Checked:
    """Check a CSV of ours, recognised by its header line."""
    from panelwear.byeye import eye_files

    if path.name == STABILITY:
        return Checked("evenings of a stable light", stability_faults(path))
    if eye_files.record_of(path) is None:
        return check_readings(path)
    return Checked("what the eye found", eye_files.faults_of(path))


def check_checkpoint(folder: Path, now: datetime | None = None) -> Checked:
    """Check a checkpoint's folder: record, readings, digests at closing, amendments; ``now``: by the clock."""
    try:
        found = checkpoint.load(folder)
    except PanelwearError as error:
        return Checked("checkpoint", tuple(_placed(folder, p) for p in _told(error)))
    faults: list[str] = [*found.changed_since_close()]
    inside = [*_faults_of(found.amendments), *readings_faults(found)]
    if begun := start_fault(found.record):
        inside.append(f"{checkpoint.RECORD}: {begun}")
    odd = start_remark(found.record, now or RealClock().utc())
    remarks = tuple(_placed(folder, f"{checkpoint.RECORD}: {said}.") for said in (odd,) if said)
    if found.readings_path.exists():
        readings = check(found.readings_path)
        inside += readings.problems
        remarks += tuple(_placed(folder, said) for said in readings.remarks)
    for name in (MARKS, MATCHES, FORMER_MATCHES):
        if (folder / name).exists():
            inside += _eye_faults(folder / name)
    inside += [*shoot_faults(folder), *map_faults(folder)]
    for session in found.record["sessions"]:
        if not (folder / session["sequence_file"]).exists():
            inside.append(f"{session['sequence_file']}: is missing; it is the sequence as it was run")
        for geometry, response in session.get("response", {}).items():
            where = f"{checkpoint.RECORD}: sessions[{session['number']}].response.{geometry}"
            inside += [f"{where}: {fault}" for fault in response_faults(response)]
    return Checked("checkpoint", (*faults, *(_placed(folder, p) for p in inside)), remarks)


def _placed(folder: Path, problem: str) -> str:
    """Say which checkpoint a problem is in, unless it is said."""
    return problem if problem.startswith(str(folder)) else f"{folder.name}/{problem}"


def _eye_faults(path: Path) -> tuple[str, ...]:
    from panelwear.byeye import eye_files

    return eye_files.faults_of(path)


def check_folder(folder: Path) -> Checked:
    """Check a panel folder with all its checkpoints, or one checkpoint."""
    if (folder / "checkpoint.json").exists():
        return check_checkpoint(folder)
    if not (folder / "panel.toml").exists():
        nothing = f"{folder}: no folder of panelwear: neither panel.toml nor checkpoint.json is there"
        return Checked("folder", (nothing,))
    faults = list(check_toml(folder / "panel.toml").problems)
    if (folder / "probe.toml").exists():
        faults += check_toml(folder / "probe.toml").problems
    if (folder / USAGE).exists():
        faults += _faults_of(lambda: check_usage(load_toml(folder / USAGE), folder))
    if (folder / STABILITY).exists():
        faults += stability_faults(folder / STABILITY)
    faults += _faults_of(lambda: set_aside.log_of(folder))
    each = [check_checkpoint(path) for path in checkpoint.folders_of(folder)]
    faults += [problem for one in each for problem in one.problems]
    together = _together(folder)
    remarks = (*(said for one in each for said in one.remarks), *together.remarks)
    return Checked("panel folder", (*faults, *together.problems), remarks)


def _fingerprint(one: checkpoint.Checkpoint) -> Fingerprint | None:
    try:
        return fingerprint_of(one, one.columns())
    except PanelwearError:
        return None


def _together(folder: Path) -> Checked:
    """Hold the checkpoints of a panel against each other; what cannot be read is said of each by itself."""
    there, _ = checkpoint.survey(folder)
    read = [found for one in there if (found := _fingerprint(one)) is not None]
    return Checked("checkpoints", tuple(copy_faults(read).values()), odd_order(there))


def odd_order(there: Sequence[checkpoint.Checkpoint]) -> tuple[str, ...]:
    """Say where hours fall while dates rise, and where they overlap; a sentence each."""
    fallen = [one.sentence for one in falling_hours(circumstances_of(one.corrected, one.name) for one in there)]
    return tuple(f"{said}." for said in (*fallen, *(one.sentence for one in overlapping_hours(there))))


def _check_json(path: Path) -> Checked:
    if path.name == checkpoint.RECORD and (path.parent / checkpoint.READINGS).exists():
        return check_checkpoint(path.parent)
    return Checked(*check_json(path))


def check(path: Path) -> Checked:
    """Check a file or folder of ours; what cannot be read is a fault of it."""
    try:
        if not path.exists():
            return Checked("path", (f"{path}: there is no such file or folder",))
        made = nothing_to_check(path)
        if made:
            return Checked(f"{made}: there is nothing to check in it")
        if path.is_dir():
            return check_folder(path)
        return {".toml": check_toml, ".csv": check_csv, ".npz": check_dose_map}.get(path.suffix, _check_json)(path)
    except PanelwearError as error:
        return Checked("file", _told(error))
    except OSError as error:
        return Checked("file", (f"{path}: cannot be read ({error.strerror})",))
