"""Figures of a session, with what probe.toml, panel.toml and the checkpoint's record say of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from panelwear.colorimetry.correction import Correction, correction_text
from panelwear.errors import FileFault
from panelwear.figures.checkpoint import Figures, figures_of
from panelwear.figures.load import evidence_of_session
from panelwear.folder.panel import load_panel, load_probe_settings
from panelwear.run.plan import plan_steps
from panelwear.run.session import run_checkpoint
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns.frame import Rect
from sequences.model import PutProbe, Read, Zone
from tests.panelwear.run.bench import CENTRE, Stand, patch

STEPS = (PutProbe(1, 1, CENTRE), Read(2, 1, patch(255, purpose="white", n=5)))


@pytest.fixture
def stand(tmp_path: Path) -> Stand:
    return Stand(tmp_path / "harbour-desk", STEPS)


def correct(stand: Stand, factor: float) -> str:
    made = Correction(np.diag([1.0, factor, 1.0]), "four-colour", "harbour-desk", "2026-02-03", "borrowed")
    (stand.folder / "correction.toml").write_text(correction_text(made), encoding="utf-8")
    probe = stand.folder / "probe.toml"
    text = probe.read_text(encoding="utf-8")
    probe.write_text(text.replace('correction = "" ', 'correction = "correction.toml" '), encoding="utf-8")
    return made.digest()


def run(stand: Stand) -> None:
    run_checkpoint(stand.bench(), replace(stand.job(), probe_settings=load_probe_settings(stand.folder)))


def figures(stand: Stand) -> Figures:
    return figures_of(evidence_of_session(stand.folder, stand.checkpoint.name).now)


def test_the_digest_of_the_matrix_is_recorded_and_another_one_later_is_said(stand: Stand) -> None:
    digest = correct(stand, 1.1)
    run(stand)

    assert stand.checkpoint.session["digests"]["correction"] == digest
    assert figures(stand)["white.Y"].value == pytest.approx(255 * 1.1)
    assert not any("correction matrix" in note for note in figures(stand).notes)

    later = correct(stand, 1.2)
    found = figures(stand)
    assert found["white.Y"].value == pytest.approx(255 * 1.2)
    [note] = [note for note in found.notes if "correction matrix" in note]
    assert digest[:8] in note
    assert later[:8] in note


def test_a_comment_more_in_the_correction_file_changes_nothing(stand: Stand) -> None:
    correct(stand, 1.1)
    run(stand)
    path = stand.folder / "correction.toml"
    path.write_text("# read again in spring\n" + path.read_text(encoding="utf-8"), encoding="utf-8")

    assert not any("correction matrix" in note for note in figures(stand).notes)


def test_a_broken_matrix_stops_a_run_before_its_first_reading(stand: Stand) -> None:
    correct(stand, 1.1)
    (stand.folder / "correction.toml").write_text('matrix = [[1.0]]\nmethod = "four-colour"\n', encoding="utf-8")

    with pytest.raises(FileFault, match="three rows of three numbers"):
        run(stand)
    assert stand.checkpoint.rows() == []


AS_A_FIELD = """
name = "as-a-field"
description = "Zones as they are, for tests."
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "zones"
  codes = [128]
  narrow = "NARROW"
"""


@pytest.mark.parametrize(("narrow", "said"), [("field", 1), ("strip", 0)])
def test_a_zone_that_does_not_fill_the_aperture_is_said_with_its_share(tmp_path: Path, narrow: str, said: int) -> None:
    zones = (Zone("chart", Rect(0, 0, 640, 360), (100.0, 100.0)), Zone("line", Rect(0, 200, 640, 6), (320.0, 203.0),
             "chart"))  # fmt: skip
    new_panel(tmp_path / "desk", PanelSpec("desk", 640, 360, (596.7, 335.7), zones=zones))
    source = tmp_path / "as-a-field.toml"
    source.write_text(AS_A_FIELD.replace("NARROW", narrow), encoding="utf-8")

    plan = plan_steps(load_panel(tmp_path / "desk"), load_probe_settings(tmp_path / "desk"), source, 1)

    told = [note for note in plan.notes if "fills 67 % of it" in note and "'line' is 5.6 mm wide" in note]
    assert len(told) == said
    assert any(isinstance(step, Read) for step in plan.steps)


def test_a_found_offset_reaches_the_figures_of_its_session(stand: Stand) -> None:
    run(stand)
    stand.checkpoint.session["placements"] = {"1": {"offset_mm": [3.0, 4.0], "u_centre_mm": [0.01, 0.01]}}
    stand.checkpoint.save()

    parts = {part.name: part for part in figures(stand)["white.Y"].components}

    assert parts["placement offset"].note.startswith("5.0 mm from last time")


def test_readings_that_are_all_rounded_bring_their_last_digit_as_resolution(stand: Stand) -> None:
    run(stand)

    parts = {part.name: part.u for part in figures(stand)["white.Y"].components}

    # The fake probe says whole cd/m² for a white field: a step of 1 over the root of 12 (JCGM 100, F.2.2.1).
    assert parts["resolution"] == pytest.approx(1 / 12**0.5, rel=1e-6)
