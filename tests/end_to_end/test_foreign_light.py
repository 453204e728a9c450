"""Other programs' windows over the patch: no row with their light is believed, whoever maps them and however short."""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path
from statistics import median

import pytest

from panelwear.readings.row import Row
from tests.end_to_end.stand import SIZE, Desk, desk, probe_server
from tests.popups import NAME, popping_up
from tests.screens import window_manager

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals need POSIX")]

STEPS = """
name = "many"
description = "Many readings of a few patches, for tests."
[reading]
settle_s = 0.1
reads = 4
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "field"
  codes = [30, 50, 70, 90]
"""
WHOLE = (0, 0, *SIZE)


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path) as made:
        (tmp_path / "many.toml").write_text(STEPS, encoding="utf-8")
        yield made


def words(stand: Desk, url: str) -> tuple[str, ...]:
    return tuple(stand.inspect(url, "--sequence", str(stand.folder.parent / "many.toml")))


def light_of_patches(rows: list[Row]) -> dict[str, float]:
    found = defaultdict(list)
    for row in rows:
        if row.flags in {"ok", "retried"} and row.Y_cd_m2 is not None:
            found[row.patch].append(row.Y_cd_m2)
    return {patch: median(values) for patch, values in found.items()}


def foreign(rows: list[Row]) -> list[Row]:
    """Rows that are believed and hold another light than their patch's; each code's light is known from gamma 2.2."""
    centre = light_of_patches(rows)
    return [
        row
        for row in rows
        if row.flags in {"ok", "retried"}
        and row.Y_cd_m2 is not None
        and abs(row.Y_cd_m2 / centre[row.patch] - 1) > 0.03
    ]


def follows_gamma(rows: list[Row]) -> bool:
    light = {float(patch.split("/")[3][1:]): Y for patch, Y in light_of_patches(rows).items()}
    return all(abs(Y / light[90.0] / (code / 90) ** 2.2 - 1) < 0.1 for code, Y in light.items())


@pytest.mark.parametrize(
    ("managed", "up_s", "times"),
    [
        pytest.param(False, 4.0, 1, id="unmanaged for long"),
        pytest.param(False, 0.05, 4, id="unmanaged for a moment", marks=pytest.mark.slow),
        pytest.param(False, 0.25, 4, id="unmanaged, short", marks=pytest.mark.slow),
        pytest.param(True, 4.0, 1, id="managed for long", marks=pytest.mark.slow),
        pytest.param(True, 0.25, 4, id="managed, short", marks=pytest.mark.slow),
    ],
)
def test_no_reading_with_another_windows_light_is_believed(stand: Desk, managed: bool, up_s: float, times: int) -> None:
    manager = window_manager(stand.display) if managed else nullcontext()
    with (
        manager,
        probe_server(stand.display, "--values", "screen", "--transport", "pty", dwell=True) as url,
        popping_up(stand.display, WHOLE, up_s=up_s, between_s=3.1, times=times, managed=managed) as others,
        stand.running(*words(stand, url)) as run,
    ):
        run.wait_cautions()
        run.wait_shown("field")
        assert others.communicate("\n", timeout=100)[0].endswith("END\n")
        code, said = run.finish(200)
        told = "\n".join([*run.drain(), said])

    rows = stand.rows()
    assert code == 0, told
    assert foreign(rows) == []
    assert follows_gamma(rows)
    assert sum(row.flags in {"ok", "retried"} for row in rows) >= 16
    assert any("disturbed" in row.flags for row in rows) or "lies over the pattern" in told
    if up_s > 1:
        assert f"the window '{NAME}'" in told
