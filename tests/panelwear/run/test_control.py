"""After a missing answer, where no question proves the line: a known grey is read before anything is believed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.errors import ProbeFault
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.readings.row import Row
from panelwear.run.session import run_checkpoint
from panelwear.run.steps.control import CODES, FACTOR_ASSUMED, LEAST_CD_M2, TRIES, choose
from panelwear.simulation.scripted import ScriptedOperator
from probe_io.reading import Idle, Reading
from sequences.model import PutProbe, Read, Room
from tests.panelwear.run.bench import CENTRE, PixelProbe, Stand, patch

ASSUMED = assumed_response({"kind": "power", "gamma": 2.2, "peak_cd_m2": 300.0, "black_cd_m2": 0.02})
CODES_READ = (40, 200, 90, 128)


class BehindProbe(PixelProbe):
    """Reads light as the assumed response gives it; one answer is missing; then it is ``behind`` by some."""

    def __init__(self, screen, missing_at: int, behind: int) -> None:
        super().__init__(screen)
        self.missing_at, self.behind = missing_at, behind
        self.by_control = self.control_due = False
        self.light: list[float] = []
        self.lost = 0

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        found = super().measure(integration_s, idle)
        self.light.append(ASSUMED.luminance("grey", found.Y_cd_m2 or 0.0))
        if self.count == self.missing_at:
            self.control_due = True
            return replace(found, X_cd_m2=None, Y_cd_m2=None, Z_cd_m2=None, note="nothing came")
        Y = self.light[-1 - (self.behind if self.count > self.missing_at else 0)]
        return replace(found, X_cd_m2=0.95 * Y, Y_cd_m2=Y, Z_cd_m2=1.09 * Y)

    def line_is_proved(self) -> None:
        self.control_due = False

    def line_is_lost(self) -> None:
        self.lost += 1


def rows_of(folder: Path, missing_at: int, behind: int = 0) -> tuple[list[Row], BehindProbe, ProbeFault | None]:
    steps = (PutProbe(1, 1, CENTRE), *(Read(n, 1, patch(code)) for n, code in enumerate(CODES_READ, 2)))
    stand = Stand(folder / "harbour-desk", steps)
    bench = stand.bench()
    bench.probe = probe = BehindProbe(bench.screen, missing_at, behind)
    fault = None
    try:
        run_checkpoint(bench, replace(stand.job(), resolver=LevelResolver(ASSUMED), unattended=True))
    except ProbeFault as error:
        fault = error
    return stand.checkpoint.rows(), probe, fault


def own_light(row: Row) -> bool:
    return row.Y_cd_m2 == pytest.approx(ASSUMED.luminance("grey", row.red))


@pytest.mark.parametrize("missing_at", range(1, 9))
def test_a_known_grey_is_read_and_the_run_goes_on(tmp_path: Path, missing_at: int) -> None:
    rows, probe, fault = rows_of(tmp_path, missing_at)

    assert fault is None
    assert probe.by_control
    assert [row.Y_cd_m2 is None for row in rows] == [row.row == missing_at for row in rows]
    (control,) = [row for row in rows if row.purpose == "control"]
    assert control.row == missing_at + 1
    near = [row.Y_cd_m2 or 0.0 for row in rows[max(0, missing_at - 3) : missing_at + 2] if row.purpose == "ramp"]
    for Y in filter(None, near):
        ratio = (Y + LEAST_CD_M2) / ((control.Y_cd_m2 or 0.0) + LEAST_CD_M2)
        assert max(ratio, 1 / ratio) >= FACTOR_ASSUMED**2
    assert all(own_light(row) for row in rows if row.Y_cd_m2 is not None)
    assert sum(row.purpose == "ramp" and row.Y_cd_m2 is not None for row in rows) == 2 * len(CODES_READ)


@pytest.mark.parametrize("behind", [1, 2])
@pytest.mark.parametrize("missing_at", [3, 4, 5, 6])
def test_a_line_that_is_behind_is_never_believed(tmp_path: Path, missing_at: int, behind: int) -> None:
    rows, probe, fault = rows_of(tmp_path, missing_at, behind)

    assert "the meter's answers do not follow the screen" in str(fault)
    assert "'panelwear resume" in str(fault)
    assert [row.purpose for row in rows[missing_at:]] == ["control"] * TRIES
    assert probe.lost == TRIES - 1
    assert all(own_light(row) for row in rows if row.purpose == "ramp" and row.Y_cd_m2 is not None)


def test_a_covered_probe_reads_no_control_and_the_next_patch_does(tmp_path: Path) -> None:
    steps = (PutProbe(1, 1, CENTRE), Room(2, patch(0, purpose="black")), Read(3, 1, patch(90)))
    stand = Stand(tmp_path / "harbour-desk", steps)
    bench = stand.bench()
    bench.probe = BehindProbe(bench.screen, 4, 0)
    bench.operator = ScriptedOperator({"probe-floor": "ready", "screen-off": "skip"})
    run_checkpoint(bench, replace(stand.job(), resolver=LevelResolver(ASSUMED)))

    purposes = [row.purpose for row in stand.checkpoint.rows() if row.Y_cd_m2 is not None]
    assert purposes == ["black", "black", "probe-floor", "probe-floor", "control", "ramp", "ramp"]


def test_the_control_is_the_dimmest_that_is_clear_of_all() -> None:
    resolver = LevelResolver(ASSUMED)
    control, known, within = choose(resolver, patch(200), [300.0])
    assert (control.purpose, known.codes[0], within) == ("control", CODES[0], FACTOR_ASSUMED)
    _, known, _ = choose(resolver, patch(200), [known.target_cd_m2 or 0.0])
    assert known.codes[0] > CODES[0]


def test_where_none_stands_clear_the_nearest_answers_are_still_told_apart() -> None:
    crowded = [ASSUMED.luminance("grey", code) * 1.5 for code in CODES]
    _, known, within = choose(LevelResolver(ASSUMED), patch(200), crowded)
    gaps = [((Y + LEAST_CD_M2) / ((known.target_cd_m2 or 0.0) + LEAST_CD_M2)) for Y in crowded]
    assert 1.0 < within < FACTOR_ASSUMED
    assert all(max(gap, 1 / gap) >= within**2 - 1e-9 for gap in gaps)
