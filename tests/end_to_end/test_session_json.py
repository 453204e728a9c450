"""``panelwear spot --json``: the session's figures alone on the standard output, all words on the other."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.end_to_end.stand import desk, probe_server
from tests.end_to_end.test_spot import QUICK

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="needs an X server")]


def test_a_session_as_json_stands_alone_on_the_standard_output(tmp_path: Path) -> None:
    (tmp_path / "quick.toml").write_text(QUICK, encoding="utf-8")
    with desk(tmp_path) as stand, probe_server(stand.display, "--values", "screen") as url:
        words = ["spot", str(stand.folder), "--hours", "500", "--yes", "--sequence", str(tmp_path / "quick.toml")]
        command = [sys.executable, "-m", "panelwear", *words, "--instrument", "scpi-colorimeter", "--probe", url]
        done = subprocess.run(
            [*command, "--json"],
            capture_output=True,
            text=True,
            check=False,
            timeout=280,
            env=stand.display.environment(),
        )
    assert done.returncode == 0, done.stderr
    data = json.loads(done.stdout)
    assert data["readings"] > 10
    assert data["last"] is None and data["faults"] == []
    red = next(figure for figure in data["figures"] if figure["name"] == "red.Y")
    assert red["unit"] == "cd/m²" and red["interval_95"][0] < red["value"] < red["interval_95"][1]
    assert "getting ready" in done.stderr and "flat on the glass" in done.stderr
