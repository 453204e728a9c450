"""A real X screen and a panel folder for the by-eye tests that want them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from panelwear.upkeep.create import PanelSpec, new_panel
from tests.panelwear.byeye.on_x import (
    BADGE,
    PEAK_CD_M2,
    SIZE,
)
from tests.screens import Display, xvfb


@pytest.fixture(scope="module")
def display() -> Iterator[Display]:
    with xvfb(*SIZE) as server:
        yield server


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A panel folder; panel and zone are invented."""
    path = tmp_path / "harbour-desk"
    new_panel(path, PanelSpec("harbour-desk", *SIZE, (598.0, 336.0), peak_cd_m2=PEAK_CD_M2, zones=(BADGE,)))
    return path
