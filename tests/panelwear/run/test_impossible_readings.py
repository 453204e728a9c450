"""What a probe sends that no light can be is flagged when it is read, and listed afterwards."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

from panelwear.readings import store
from panelwear.readings.row import Row
from panelwear.run.session import run_checkpoint
from panelwear.screen.fake import FakeScreen
from panelwear.upkeep.check import check
from probe_io.reading import Idle, Reading
from tests.panelwear.run.bench import PixelProbe, Stand

BAD = {5: (399.0, 1.0, 0.0), 7: (math.nan, math.nan, math.nan), 8: (9e29, 1e30, 9e29), 9: (-19.0, -20.0, -21.0)}


class Raving(PixelProbe):
    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        reading = super().measure(integration_s, idle)
        X, Y, Z = BAD.get(self.count, (reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2))
        return replace(reading, X_cd_m2=X, Y_cd_m2=Y, Z_cd_m2=Z)


def test_impossible_readings_are_flagged_with_their_reason_and_listed_by_check(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "desk")
    bench = stand.bench()
    screen = bench.screen
    assert isinstance(screen, FakeScreen)
    run_checkpoint(replace(bench, probe=Raving(screen)), stand.job())

    rows = store.read_journal(stand.checkpoint.readings_path, Row)
    flagged = [row for row in rows if "impossible" in row.flags.split()]
    for row, said in zip(flagged, ("x = 0.9975", "X = 9e+29", "cannot be negative"), strict=True):
        assert said in row.note
        assert row.x is None
    assert [(row.row, row.note) for row in rows if row.Y_cd_m2 is None] == [(7, "the probe sent no finite number")]
    found = check(stand.checkpoint.readings_path)
    assert found.problems == ()
    assert [f"row {row.row} " in said for row, said in zip(flagged, found.remarks, strict=True)] == [True] * 3
