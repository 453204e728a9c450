"""Pictures are drawn without a word about a home folder that cannot be written."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from panelwear.plotting import VARIABLE, usual_places

DRAWS = {
    "report": "from panelwear.report.pictures.style import new_figure; new_figure(2, 2)",
    "rehearsal": "from panelwear.simulation.pictures import new_figure; new_figure(2, 2, 'title', 'note')",
    "by eye": (
        "from pathlib import Path; from panelwear.byeye.map_picture import write_map; "
        "from panelwear.folder.panel import Panel; "
        "panel = Panel(Path(), 'harbour-desk', 320, 200, (320.0, 200.0), 60.0, 600.0); "
        "write_map(Path('map.png'), panel, 'title', (), ())"
    ),
}
TELL = "; import matplotlib, os; print(matplotlib.get_cachedir() == os.environ.get('MPLCONFIGDIR'))"


def drawn(kind: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    kept = {k: v for k, v in os.environ.items() if k not in {VARIABLE, "XDG_CONFIG_HOME", "XDG_CACHE_HOME"}}
    return subprocess.run(
        [sys.executable, "-c", DRAWS[kind] + TELL],
        check=True,
        capture_output=True,
        text=True,
        env=kept | environment,
        cwd=folder,
    )


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="Windows does not look for the home in HOME")
@pytest.mark.parametrize("kind", DRAWS)
def test_a_home_that_cannot_be_written_is_no_reason_to_warn(kind: str, tmp_path: Path) -> None:
    home, temporary = tmp_path / "no-folder", tmp_path / "temporary"
    home.write_text("a file, so that nothing can be made in it, whoever tries", encoding="utf-8")
    temporary.mkdir()
    done = drawn(kind, tmp_path, HOME=str(home), TMPDIR=str(temporary))

    assert (done.stdout, done.stderr) == ("True\n", "")
    assert list(temporary.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="Windows does not look for the home in HOME")
def test_a_home_that_can_be_written_stays_the_place(tmp_path: Path) -> None:
    assert drawn("report", tmp_path, HOME=str(tmp_path)).stdout == "False\n"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the two folders are Linux's")
def test_the_places_follow_the_environment(tmp_path: Path) -> None:
    given = {"XDG_CONFIG_HOME": str(tmp_path / "settings"), "XDG_CACHE_HOME": str(tmp_path / "kept")}

    assert usual_places(given) == (tmp_path / "settings" / "matplotlib", tmp_path / "kept" / "matplotlib")
