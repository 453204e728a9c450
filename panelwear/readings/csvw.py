"""CSVW metadata beside a CSV: every column's name, datatype, unit and description (W3C, tabular metadata)."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from panelwear.readings.columns import columns_of


@dataclass(frozen=True, slots=True)
class Described:
    """What is said of one column."""

    name: str
    datatype: str
    """One of CSVW's built-in datatypes."""
    unit: str
    """Empty for text, and where another column has it."""
    meaning: str
    required: bool = False


def metadata(url: str, record: type, *, title: str) -> bytes:
    """Describe the CSV of a record class at ``url`` (a file name beside the metadata); its first column is its key."""
    columns = [Described(c.name, c.datatype, c.unit, c.meaning, c.required) for c in columns_of(record)]
    return described(url, columns, title=title, key=columns[0].name)


def described(url: str, columns: Sequence[Described], *, title: str, key: str = "") -> bytes:
    """Describe a CSV of ours at ``url``; ``key``: the column that tells its rows apart, where one alone does."""
    schema: dict[str, Any] = {"columns": [_column(column) for column in columns]}
    if key:
        schema["primaryKey"] = key
    told = {
        "@context": "http://www.w3.org/ns/csvw",
        "url": url,
        "dc:title": title,
        "dc:format": "text/csv",
        "dialect": {"encoding": "utf-8", "lineTerminators": ["\r\n"], "delimiter": ",", "header": True},
        "tableSchema": schema,
    }
    return (json.dumps(told, indent=2, ensure_ascii=False) + "\n").encode()


def _column(column: Described) -> dict[str, Any]:
    told: dict[str, Any] = {
        "name": column.name,
        "titles": column.name,
        "datatype": column.datatype,
        "required": column.required,
        "dc:description": column.meaning,
    }
    if column.unit:
        told["schema:unitText"] = column.unit
    return told
