"""A row to start from in tests."""

from collections.abc import Sequence
from pathlib import Path

from panelwear.readings import records
from panelwear.readings.by_column import ByColumn, read_columns
from panelwear.readings.row import Row

SOME_ROW = Row(
    row=1,
    session=1,
    visit=1,
    pair="",
    time_utc="2026-02-03T20:00:00.000Z",
    monotonic_s=1000.25,
    step=4,
    patch="ramp/centre/grey/Y50/w10",
    purpose="ramp",
    place="centre",
    pattern="window",
    red=128.4375,
    green=128.4375,
    blue=128.4375,
    background="0 0 0",
    rect_px="100 50 400 300",
    lit_share=0.1,
    target_cd_m2=50.0,
    level_basis="assumed-response",
    repeat=1,
    X_cd_m2=173.3,
    Y_cd_m2=182.4,
    Z_cd_m2=198.1,
    x=0.312929,
    y=0.329361,
    u_prime=0.1978,
    v_prime=0.4684,
    cct_K=6492.1,
    duv=0.0031,
    integration_s=0.5,
    settled_s=1.002,
    geometry_sha256="00",
    frame_sha256="11",
    flags="ok",
    note='said "so, so"',
)


def in_columns(rows: Sequence[Row], folder: Path) -> ByColumn:
    """Write rows to a file and read it by columns."""
    path = folder / "readings.csv"
    path.write_bytes(records.header(Row) + b"".join(map(records.record_line, rows)))
    return read_columns(path, Row)
