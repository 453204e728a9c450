"""Tell what a JSON file of ours is by its content, and list all its faults."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault
from panelwear.folder import record, set_aside, shoots
from panelwear.folder.checkpoint import AMENDMENTS
from panelwear.folder.files import load_json
from panelwear.folder.map_faults import READ_FORMAT, looks_like_map, map_file_faults, read_file_faults

CSVW = "http://www.w3.org/ns/csvw"
OURS = (
    "record of a checkpoint or of a shoot, map, amendments, what was set aside, response, description of a CSV, or what"
    " a rehearsal left"
)
LISTS: dict[str, tuple[str, Callable[[Any, str], object]]] = {
    AMENDMENTS: ("amendments", record.checked_amendments),
    set_aside.LOG: ("what was set aside", set_aside.checked_log),
}
"""What is a list, by the name of its file; one of another name is taken for amendments."""


def check_json(path: Path) -> tuple[str, tuple[str, ...]]:
    """Return what the file is and what is wrong with it; the reader's ``FileFault`` when it is no JSON."""
    data = load_json(path)
    what, faults = _told(data, path)
    return what, tuple(f"{path.name}: {fault}" for fault in faults)


def _told(data: Any, path: Path) -> tuple[str, Iterator[str]]:
    if isinstance(data, list) or path.name in LISTS:
        what, checked = LISTS.get(path.name, LISTS[AMENDMENTS])
        return what, _faults_of(checked, data)
    keys: dict[str, Any] = data if isinstance(data, dict) else {}
    form = str(keys.get("format", ""))
    is_shoot = form.startswith("panelwear shoot")
    if is_shoot or form.startswith("panelwear checkpoint") or path.name == "checkpoint.json":
        checked = shoots.checked_shoot if is_shoot else record.checked_record
        return f"record of a {'shoot' if is_shoot else 'checkpoint'}", _faults_of(checked, data)
    if keys.get("@context") == CSVW:
        return "description of a CSV (CSVW)", _description_faults(keys, path)
    if form == READ_FORMAT or looks_like_map(keys) or "curves_cd_m2" in keys:
        return _measured(keys, path)
    if form.startswith("panelwear rehearsal") or {"what", "checkpoints", "seed"} <= keys.keys():
        return "what a rehearsal left", iter(())
    return "JSON file", iter([f"is no file of panelwear ({OURS}): it has none of their keys"])


def _measured(keys: dict[str, Any], path: Path) -> tuple[str, Iterator[str]]:
    """Tell what a file of measured results is: of photographs, or a response."""
    if keys.get("format") == READ_FORMAT:
        return "what photographs were read", read_file_faults(keys, path)
    if looks_like_map(keys):
        return "map of a field", map_file_faults(keys, path)
    return "response", response_faults(keys)


def _faults_of(read: Callable[[Any, str], object], data: Any) -> Iterator[str]:
    try:
        read(data, "")
    except FileFault as error:
        yield from error.problems


def response_faults(data: dict[str, Any]) -> Iterator[str]:
    """Say what is wrong with a stored response."""
    from panelwear.panel.response import response_from_json

    try:
        response_from_json(data)
    except ValueError as error:
        yield f"{error}"


def _description_faults(data: dict[str, Any], path: Path) -> Iterator[str]:
    """Hold the described columns against those of the CSV beside, where there is one."""
    url, schema = data.get("url"), data.get("tableSchema")
    columns = schema.get("columns") if isinstance(schema, dict) else None
    if not isinstance(url, str) or not isinstance(columns, list):
        yield "needs url and tableSchema.columns"
        return
    beside = path.with_name(Path(url).name or "-")
    if not beside.is_file():
        yield f"url: there is no file '{url}' beside it"
        return
    with beside.open(encoding="utf-8", errors="replace", newline="") as lines:
        header = next(csv.reader([lines.readline(65_536)]), [])
    described = [column.get("name") if isinstance(column, dict) else None for column in columns]
    if header and header != described:
        yield f"the columns it describes are not those of {beside.name}"
