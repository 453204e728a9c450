"""Looks up what the start screen tells: where panels stand, ports, instrument files, sequences, folders."""

from __future__ import annotations

import os
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelwear.errors import FileFault, PanelwearError
from panelwear.extras import is_there, to_install
from panelwear.folder.evidence_files import DERIVED
from panelwear.folder.map_faults import READ
from panelwear.screen.monitors import Monitor
from panelwear.start.facts import Choice, Listing, PanelFacts, World
from panelwear.start.known import known_file, read_known
from panelwear.start.own_sequences import own_sequences

if TYPE_CHECKING:
    from panelwear.upkeep.status import SessionStanding

HOME = "~/panelwear"
"""Folder in which new panel folders are made unless another is typed."""

PHOTOS = "photos"
"""Folder of a checkpoint a person copies the camera's files into."""


EXPORTS = (
    (Choice("cgats", "text, ISO 28178", "patches with their means, for any program that reads CGATS.17"), ""),
    (Choice("parquet", "Parquet", "every reading, for DuckDB, Polars, pandas"), "pyarrow"),
    (Choice("xlsx", "spreadsheet", "figures, patches and readings, a sheet each"), "openpyxl"),
)
"""What ``panelwear export`` writes, and the library each needs."""


def look_up(monitors: tuple[Monitor, ...], today: date) -> World:
    """Look everything up; takes seconds where panels hold many readings, so it is not done while a key is awaited."""
    remarks: list[str] = []
    try:
        folders = read_known(known_file())
    except FileFault as error:
        folders = ()
        remarks += error.problems
    return World(
        panels=tuple(facts_of(folder, today) for folder in folders),
        monitors=monitors,
        links=_links(),
        instruments=_instruments(),
        sequences=_sequences(),
        exports=tuple(choice for choice, library in EXPORTS if not library or is_there(library)),
        no_exports=_not_written(),
        home=HOME,
        person=person(),
        remarks=tuple(remarks),
    )


def person() -> str:
    """Return the person's own folder; empty where nobody's is known."""
    try:
        return Path.home().as_posix()
    except RuntimeError:
        return ""


def facts_of(folder: str, today: date) -> PanelFacts:
    """Ask one panel folder where it stands; a folder that is gone or cannot be read is told, never left out."""
    from panelwear.folder.hours import between_words
    from panelwear.folder.panel import load_panel, load_probe_settings
    from panelwear.upkeep.status import status_of
    from panelwear.usage.records import FILE as USAGE

    path = Path(folder)
    if not path.is_dir():
        gone = "the folder is gone: plug its disk in, put it back, or take it off this list"
        return PanelFacts(folder, name=path.name, doing="gone", next_step=gone)
    try:
        panel = load_panel(path)
        found = status_of(panel, today)
        probe = load_probe_settings(path)
    except (PanelwearError, OSError) as error:
        return PanelFacts(folder, name=path.name, doing="unread", next_step=f"put right: {str(error).splitlines()[0]}")
    still_open = [one for one in found.checkpoints if not one.is_closed]
    last = found.checkpoints[-1] if found.checkpoints else None
    instrument, link = (probe.instrument, probe.link) if probe.link else last_probe(path)
    return PanelFacts(
        folder=folder,
        name=found.panel,
        width_px=found.width_px,
        height_px=found.height_px,
        hours=between_words(last.hours_low, last.hours_high) if last else "",
        last=f"last: {last.date}, {_sessions(last.sessions)}"
        if last
        else "no checkpoint can be read"
        if found.lost
        else "",
        open_name=still_open[-1].name if still_open else "",
        unfinished=still_open[-1].unfinished if still_open else "",
        unfinished_shoot=still_open[-1].unfinished_shoot if still_open else "",
        photos=_photos(path, found.checkpoints[-1].name) if found.checkpoints else "",
        maps=sum((path / "checkpoints" / one.name / DERIVED / READ).is_file() for one in found.checkpoints),
        doing=found.doing,
        next_step=found.next_in_words,
        checkpoints=len(found.checkpoints),
        closed=sum(one.is_closed for one in found.checkpoints),
        readings=sum(one.readings for one in found.checkpoints),
        instrument=instrument,
        link=link,
        sequences=own_sequences(path),
        zones=tuple(zone.name for zone in panel.zones),
        names=tuple(one.name for one in found.checkpoints),
        usage_told=(path / USAGE).exists(),
    )


def _photos(folder: Path, name: str) -> str:
    """Return the folder of a checkpoint's photographs within the panel's; empty where none lie there."""
    inside = Path("checkpoints", name, PHOTOS)
    try:
        return str(inside) if any(one.is_file() for one in (folder / inside).iterdir()) else ""
    except OSError:
        return ""


def _sessions(sessions: tuple[SessionStanding, ...]) -> str:
    return ", ".join(dict.fromkeys(one.sequence for one in sessions)) or "nothing begun"


def last_probe(folder: Path) -> tuple[str, str]:
    """Return instrument file and link of the last session that had a probe; empty where none had."""
    from panelwear.folder import checkpoint

    found, _ = checkpoint.survey(folder)
    return next((probe for one in reversed(found) if (probe := probe_of(one.record)) != ("", "")), ("", ""))


def probe_of(record: Mapping[str, Any]) -> tuple[str, str]:
    """Return instrument file and link of a record's last session that had a probe."""
    told = [session["probe"] for session in record["sessions"] if session.get("probe", {}).get("link")]
    return (str(told[-1].get("instrument", "")), str(told[-1]["link"])) if told else ("", "")


def _links() -> tuple[Choice, ...]:
    from probe_io.link import ports

    return tuple(Choice(port.name, port.name, _about(port.description, port.serial_number)) for port in ports())


def _about(description: str, serial: str) -> str:
    description = "" if description == "n/a" else description  # pyserial's word for: not told
    return ", ".join(part for part in (description, f"serial number {serial}" if serial else "") if part)


def _instruments() -> tuple[Choice, ...]:
    from probe_io.instrument_file import find, shipped

    return tuple(Choice(name, name, find(name).description) for name in shipped())


def _sequences() -> tuple[Choice, ...]:
    from sequences.reader import load, shipped

    return tuple(Choice(name, name, load(name).description) for name in shipped())


def _not_written() -> str:
    missing = {choice.label: library for choice, library in EXPORTS if library and not is_there(library)}
    if not missing:
        return ""
    return f"Not here: {', '.join(missing)}; {to_install(next(iter(missing.values())))}."


def list_folder(path: str) -> Listing:
    """Say what lies in a folder: folders that are not hidden, panel folders told as such.

    Args:
        path: the folder; empty: the person's own.
    """
    here = Path(path) if path else Path.home()
    parent = "" if here.parent == here else str(here.parent)
    try:
        with os.scandir(here) as entries:
            names = sorted((one.name for one in entries if _is_shown(one)), key=str.casefold)
    except OSError as error:
        return Listing(str(here), parent, fault=f"this folder cannot be read ({error.strerror})")
    folders = tuple((name, str(here / name), (here / name / "panel.toml").is_file()) for name in names)
    return Listing(str(here), parent, folders, is_panel=(here / "panel.toml").is_file())


def _is_shown(entry: os.DirEntry[str]) -> bool:
    try:
        return not entry.name.startswith(".") and entry.is_dir()
    except OSError:
        return False
