"""``panelwear spot`` as a person meets it: two checkpoints side by side, and a correction matrix that was changed."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from panelwear.colorimetry.correction import Correction, correction_text
from panelwear.folder import checkpoint
from panelwear.upkeep.check import check
from tests.end_to_end.stand import Desk, desk, probe_server

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="needs an X server")]

QUICK = """
name = "quick"
description = "White, black and primaries in a few seconds, for tests."
[reading]
settle_s = 0.1
reads = 3
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "field"
  codes = [0]
  [[steps.patches]]
  group = "primaries"
  hues = ["red", "green", "blue"]
  codes = [255]
  share = 0.10
  [[steps.patches]]
  group = "loading"
  codes = [255]
  shares = [0.10]
"""


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path) as made:
        (tmp_path / "quick.toml").write_text(QUICK, encoding="utf-8")
        yield made


def correct(stand: Desk, factor: float) -> str:
    """Write a correction matrix and name it in probe.toml; returns its digest."""
    made = Correction(np.diag([1.0, factor, 1.0]), "four-colour", "harbour-desk", "2026-02-03", "borrowed")
    (stand.folder / "correction.toml").write_text(correction_text(made), encoding="utf-8")
    probe = stand.folder / "probe.toml"
    text = probe.read_text(encoding="utf-8").replace('correction = "" ', 'correction = "correction.toml" ')
    assert 'correction = "correction.toml"' in text
    probe.write_text(text, encoding="utf-8")
    return made.digest()


@pytest.mark.slow
def test_a_spot_stands_beside_the_last_one_and_says_when_the_matrix_was_changed(stand: Desk) -> None:
    digests = [correct(stand, 1.10), ""]
    with probe_server(stand.display, "--values", "screen") as url:
        probe = ("--instrument", "scpi-colorimeter", "--probe", url)
        sequence = ("--sequence", str(stand.folder.parent / "quick.toml"))
        run = [stand.run("spot", str(stand.folder), "--hours", "500", "--yes", *probe, *sequence)]
        stand.run("close", str(stand.folder))
        digests[1] = correct(stand, 1.12)
        again = ("spot", str(stand.folder), "--hours", "900", "--yes", *probe, *sequence)
        code, said = stand.run(*again)
        assert (code, "400 h more cannot have passed since" in said) == (2, True)
        run.append(stand.run(*again, "--sure"))

    for code, said in run:
        assert code == 0, said
        assert "additivity" in said
        assert "correction matrix" not in said
    assert "last checkpoint" not in run[0][1]
    assert "last checkpoint" in run[1][1]
    peak = next(line for line in run[1][1].splitlines() if line.startswith("peak luminance"))
    assert peak.count("±") == 2
    earlier, later = checkpoint.all_of(stand.folder)
    assert [c.session["digests"]["correction"] for c in (earlier, later)] == digests
    assert check(stand.folder).problems == ()
    assert check(stand.folder / "correction.toml").what == "correction file"

    (stand.folder / "correction.toml").write_text('matrix = 1\nmethod = "four-colour"\n', encoding="utf-8")
    assert any("three rows of three numbers" in problem for problem in check(stand.folder).problems)
    code, said = stand.run("spot", str(stand.folder), "--hours", "900", "--yes", "--no-probe")
    assert code == 2
    assert "three rows of three numbers" in said
