"""CSVW metadata beside a CSV: every column's name, datatype, unit and description (W3C, tabular metadata)."""

from __future__ import annotations

import json
from typing import Any

from panelwear.readings.columns import RecordColumn, columns_of


def metadata(url: str, record: type, *, title: str) -> bytes:
    """Describe the CSV of a record class at ``url`` (a file name beside the metadata); its first column is its key."""
    columns = columns_of(record)
    described = {
        "@context": "http://www.w3.org/ns/csvw",
        "url": url,
        "dc:title": title,
        "dc:format": "text/csv",
        "dialect": {"encoding": "utf-8", "lineTerminators": ["\r\n"], "delimiter": ",", "header": True},
        "tableSchema": {"columns": [_column(column) for column in columns], "primaryKey": columns[0].name},
    }
    return (json.dumps(described, indent=2, ensure_ascii=False) + "\n").encode()


def _column(column: RecordColumn) -> dict[str, Any]:
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
