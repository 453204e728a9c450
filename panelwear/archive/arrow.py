"""Our tables in Arrow's columns and as Parquet: one schema from the column list, units and meanings beside each column.

The same table gives the same bytes: no time, no machine and no path stands in them.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import numpy as np

from panelwear.compare.tables import ROW, CsvColumn, CsvTable
from panelwear.readings.by_column import ByColumn
from panelwear.readings.columns import RecordColumn, columns_of

if TYPE_CHECKING:
    import pyarrow as pa

MARK = "panelwear"
"""Key of the metadata by which a Parquet file is known as one of this program."""
Facts = Mapping[str, str]


def schema_of(record: type, facts: Facts) -> pa.Schema:
    """Return the schema of a record class; ``facts`` stand in the file's metadata."""
    import pyarrow as pa

    return pa.schema([_field(column) for column in columns_of(record)], metadata={MARK: json.dumps(dict(facts))})


def _field(column: RecordColumn) -> pa.Field:
    import pyarrow as pa

    kinds = {int: pa.int64(), float: pa.float64(), str: pa.string()}
    kind = pa.timestamp("us", tz="UTC") if column.is_moment else kinds[column.kind]
    return pa.field(column.name, kind, metadata={"unit": column.unit, "meaning": column.meaning})


def records_table(found: ByColumn, record: type, facts: Facts) -> pa.Table:
    """Return all records of a CSV of ours; what is missing there is null."""
    import pyarrow as pa

    schema = schema_of(record, facts)
    made = [_array(found, column, field.type) for column, field in zip(columns_of(record), schema, strict=True)]
    return pa.Table.from_arrays(made, schema=schema)


def _array(found: ByColumn, column: RecordColumn, kind: Any) -> pa.Array:
    import pyarrow as pa

    if column.name in found.texts:
        labels = found.texts[column.name]
        words = [word if word or column.required else None for word in labels.words]
        return pa.array(words or [None], kind).take(pa.array(labels.codes.astype(np.int64)))
    values = found.numbers[column.name]
    if column.is_moment:
        unknown = ~np.isfinite(values)
        return pa.array(np.round(np.where(unknown, 0, values) * 1e6).astype(np.int64), mask=unknown).cast(kind)
    return pa.array(values, kind, mask=found.missing_in(column.name), from_pandas=False)


def with_each(table: pa.Table, columns: Sequence[tuple[str, str, str]], values: Sequence[object]) -> pa.Table:
    """Return a table with some columns more that are the same in each row."""
    import pyarrow as pa

    for column, value in zip(columns, values, strict=True):
        field = _plain_field(CsvColumn(*column))
        table = table.append_column(field, pa.repeat(pa.scalar(value, field.type), len(table)))
    return table


def plain_table(table: CsvTable, facts: Facts) -> pa.Table:
    """Return a table of a comparison or of figures; a number that is not known is missing."""
    import pyarrow as pa

    schema = plain_schema(table.columns, facts)
    cells: Iterable[Sequence[object]] = zip(*table.rows, strict=True) if table.rows else [()] * len(table.columns)
    made = [pa.array(column, field.type) for column, field in zip(cells, schema, strict=True)]
    return pa.Table.from_arrays(made, schema=schema)


def plain_schema(columns: Sequence[CsvColumn], facts: Facts, before: Sequence[str] = ()) -> pa.Schema:
    """Return the schema of a table of a comparison or of figures; each number's unit stands beside its column."""
    import pyarrow as pa

    lead = [pa.field(name, pa.string(), metadata={"unit": "", "meaning": _LEAD[name]}) for name in before]
    return pa.schema([*lead, *map(_plain_field, columns)], metadata={MARK: json.dumps(dict(facts))})


_LEAD = {"panel": "folder of the panel below the root"}


def _plain_field(column: CsvColumn) -> pa.Field:
    import pyarrow as pa

    kind = pa.float64() if column.unit else pa.string()
    unit = "in the row's column of units" if column.unit == ROW else column.unit
    return pa.field(column.name, kind, metadata={"unit": unit, "meaning": column.description})


def parquet_of(table: pa.Table) -> bytes:
    """Return a table as Parquet; equal tables give equal bytes with one version of the library."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    out = io.BytesIO()
    # Only texts repeat; a dictionary of different numbers is larger than the numbers.
    texts = [field.name for field in table.schema if pa.types.is_string(field.type)]
    statistics = table.num_rows > LEAST_FOR_STATISTICS
    pq.write_table(table, out, compression="zstd", use_dictionary=texts, write_statistics=statistics)
    return out.getvalue()


def brought_up(path: Path, like: Path) -> bytes | None:
    """Return a Parquet file of an older version with the columns of a newer one; those it has not are empty.

    ``None`` where it has them all, or one of the two cannot be read.
    """
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        wanted, own = pq.read_schema(like), pq.read_schema(path)
        if own.names == wanted.names:
            return None
        held = pq.read_table(path, partitioning=None)
        made = [held[f.name].cast(f.type) if f.name in own.names else pa.nulls(len(held), f.type) for f in wanted]
    except (OSError, ValueError, pa.ArrowException):
        return None
    return parquet_of(pa.Table.from_arrays(made, schema=wanted.with_metadata(own.metadata)))


def write_rows(out: BinaryIO, schema: pa.Schema, rows: Iterable[Sequence[object]]) -> None:
    """Write rows as Parquet as they come, some thousands in memory at a time."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    waiting = iter(rows)
    with pq.ParquetWriter(out, schema, compression="zstd") as writer:
        while block := [*islice(waiting, ROWS_AT_ONCE)]:
            columns = zip(schema, zip(*block, strict=True), strict=True)
            made = [pa.array(map(_cell_of(field.type), cells), field.type) for field, cells in columns]
            writer.write_table(pa.Table.from_arrays(made, schema=schema))


def _cell_of(kind: Any) -> Callable[[Any], Any]:
    import pyarrow as pa

    made = float if pa.types.is_floating(kind) else str
    return lambda cell: None if cell is None else made(cell)


ROWS_AT_ONCE = 2_000
LEAST_FOR_STATISTICS = 10_000
"""Rows below which a reader is through with the whole file as soon as with its statistics, which are larger."""


def facts_of(path: Path) -> dict[str, str] | None:
    """Return what this program noted in a Parquet file; ``None`` where it is another's, damaged, or not there."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        noted = (pq.read_schema(path).metadata or {}).get(MARK.encode())
        facts = json.loads(noted) if noted else None
    except (OSError, ValueError, pa.ArrowException):
        return None
    return facts if isinstance(facts, dict) else None
