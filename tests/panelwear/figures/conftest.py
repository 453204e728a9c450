"""A panel folder with three closed checkpoints, for tests that damage it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.panelwear.report import desk


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return desk.folder(tmp_path_factory.mktemp("panel") / "harbour-desk")


@pytest.fixture
def folder(whole: Path, tmp_path: Path) -> Path:
    return shutil.copytree(whole, tmp_path / "harbour-desk")
