"""CSVW metadata beside a CSV: every column's name, datatype, unit and description (W3C, tabular metadata)."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class ColumnNote:
    """What is to be said of one column."""

    name: str
    datatype: str
    """CSVW built-in datatype: ``integer``, ``number``, ``string``, ``dateTime``."""
    unit: str
    """``cd/m²``, ``s``, ``px``, ``1`` for pure numbers, empty for text."""
    description: str
    required: bool = False


def _column(note: ColumnNote) -> dict[str, Any]:
    told: dict[str, Any] = {
        "name": note.name,
        "titles": note.name,
        "datatype": note.datatype,
        "required": note.required,
        "dc:description": note.description,
    }
    if note.unit:
        told["schema:unitText"] = note.unit
    return told


def metadata(
    url: str,
    columns: Sequence[ColumnNote],
    *,
    title: str,
    primary_key: str | None = None,
    notes: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Describe the CSV at ``url`` (a file name beside the metadata); ``notes`` are added as common properties."""
    schema: dict[str, Any] = {"columns": [_column(note) for note in columns]}
    if primary_key is not None:
        schema["primaryKey"] = primary_key
    return {
        "@context": "http://www.w3.org/ns/csvw",
        "url": url,
        "dc:title": title,
        "dc:format": "text/csv",
        **(notes or {}),
        "dialect": {"encoding": "utf-8", "lineTerminators": ["\r\n"], "delimiter": ",", "header": True},
        "tableSchema": schema,
    }


def metadata_bytes(*args: Any, **kwargs: Any) -> bytes:
    """Return ``metadata`` as the bytes of a JSON file."""
    return (json.dumps(metadata(*args, **kwargs), indent=2, ensure_ascii=False) + "\n").encode()
