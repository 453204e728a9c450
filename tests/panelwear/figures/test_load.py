"""Evidence of a panel folder: the same figures whichever command asks, each checkpoint under its own probe's matrix."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from panelwear.colorimetry.correction import Correction, correction_text
from panelwear.compare.comparing import comparison_of
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.load import evidence_of_session, load_evidence
from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel
from panelwear.folder.record import DIGEST, digest
from panelwear.report.inputs import inputs_of
from tests.panelwear.report import desk


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return desk.folder(tmp_path_factory.mktemp("panel") / "harbour-desk")


def test_inspect_and_report_state_one_figure_with_one_uncertainty(folder: Path) -> None:
    report = {one.evidence.name: one.figures for one in inputs_of(load_panel(folder), load_evidence(folder)).inspected}
    assert len(report) == 3
    for name, figures in report.items():
        inspected = figures_of(evidence_of_session(folder, name, 1).now)
        assert len(inspected) > 150
        assert inspected.to_json() == figures.to_json()


def _correct(folder: Path, factor: float, serial: str) -> None:
    made = Correction(np.diag([factor] * 3), "four-colour", "harbour-desk", "2026-02-03", "borrowed")
    (folder / "correction.toml").write_text(correction_text(made), encoding="utf-8")
    kept = [
        line
        for line in (folder / "probe.toml").read_text(encoding="utf-8").splitlines()
        if not line.startswith(("serial =", "correction ="))
    ]
    lines = [f'serial = "{serial}"', 'correction = "correction.toml"', *kept]
    (folder / "probe.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")


def _read_by(folder: Path, serials: tuple[str, ...]) -> None:
    for found, serial in zip(checkpoint.all_of(folder), serials, strict=True):
        record = json.loads(found.record_path.read_text(encoding="utf-8"))
        for session in record["sessions"]:
            session["probe"] = {**(session.get("probe") or {}), "serial": "", "serial_as_stated": serial}
        record[DIGEST] = digest(record)
        found.record_path.write_text(json.dumps(record), encoding="utf-8")


def test_the_matrix_of_a_new_probe_leaves_what_another_read_alone(tmp_path: Path) -> None:
    made = desk.folder(tmp_path / "harbour-desk", (0.0, 4400.0))
    _read_by(made, ("A", "B"))
    plain = [figures_of(one)["white.Y"].value for one in load_evidence(made)]
    _correct(made, 1.1, "B")
    older, newest = load_evidence(made)
    session = evidence_of_session(made, newest.name, 1)
    now, last = session.now, session.last
    assert last is not None
    # The older checkpoint is the last one that spot shows beside the newest.
    assert last.name == older.name
    assert figures_of(last)["white.Y"].value == pytest.approx(plain[0])
    assert figures_of(now)["white.Y"].value == pytest.approx(1.1 * plain[1])
    pair = comparison_of([older, newest]).pairs[0]
    white = next(row.change for row in pair.rows if row.name == "white.Y")
    assert (white.before.value, white.after.value) == pytest.approx((plain[0], 1.1 * plain[1]))
