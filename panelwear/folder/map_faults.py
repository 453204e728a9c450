"""What is wrong with the maps of a checkpoint, as far as it can be told without reading the photographs again."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from panelwear.errors import PanelwearError
from panelwear.folder.evidence_files import DERIVED
from panelwear.folder.files import load_json

READ = "read.json"
READ_FORMAT = "panelwear photographs read 1"
UNFINISHED = "the photographs were not read to the end; read them again"
_OF_A_MAP = {"shot", "panel_px", "cells", "u_slow", "shading", "set_up", "sources"}


def looks_like_map(data: dict[str, Any]) -> bool:
    """Tell the metadata of a map from other JSON by its keys."""
    return {"shot", "cells", "shading"} <= data.keys()


def map_file_faults(data: dict[str, Any], path: Path) -> Iterator[str]:
    """Say what a map's metadata lacks, and which of its two other files is not beside it."""
    for key in sorted(_OF_A_MAP - data.keys()):
        yield f"{key}: is missing; read the photographs again"
    for ending in ("npz", "png"):
        if not path.with_suffix(f".{ending}").is_file():
            yield f"{path.stem}.{ending} is missing beside it; read the photographs again"


def read_file_faults(data: dict[str, Any], path: Path) -> Iterator[str]:
    """Say which maps that were made of photographs are gone."""
    fields = data.get("fields")
    if not isinstance(fields, list):
        yield "fields: is missing; read the photographs again"
        return
    if data.get("unfinished"):
        yield UNFINISHED
        return
    made = (one for one in fields if isinstance(one, dict) and one.get("map"))
    for name in (str(one.get("shot", "")) for one in made):
        if not path.with_name(Path(f"{name}.json").name).is_file():
            yield f"fields: the map of '{name}' is gone; read the photographs again"


def map_faults(checkpoint_dir: Path) -> tuple[str, ...]:
    """Say what is wrong with the maps of a checkpoint."""
    faults: list[str] = []
    for path in sorted((checkpoint_dir / DERIVED).glob("*.json")):
        try:
            data = load_json(path)
        except PanelwearError as error:
            faults += getattr(error, "problems", (str(error),))
            continue
        keys = data if isinstance(data, dict) else {}
        told = (read_file_faults if path.name == READ else map_file_faults)(keys, path)
        faults += [f"{DERIVED}/{path.name}: {fault}" for fault in told]
    return tuple(faults)
