"""A shoot on a real X screen, by real keys: killed in the middle, gone on with; the pixels are the server's own."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import zxingcpp

from panelwear.camera.shots import ShootLabel, label_of
from panelwear.upkeep.check import check
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns import build
from patterns.raster import raster
from tests.journeys import Journey
from tests.screens import Display, Program, different_in_the_end, program, xvfb

pytestmark = [pytest.mark.screen, pytest.mark.slow]

SIZE = (1280, 720)
LIST = """name = "two-fields"
description = "Two fields, one frame each, for tests."
f_number = 2.8
iso = 6400
frames = 1
[[shots]]
kind = "dots"
frames = 1
[[shots]]
kind = "fields"
codes = [60, 150]
"""
NAMES = ("dots", "grey-c60", "grey-c150", "dots-end")
FRAME_S = 0.6
"""A field stands so long: longer than the one frame of a quarter of a second takes."""


@pytest.fixture(scope="module")
def display() -> Iterator[Display]:
    with xvfb(*SIZE) as server:
        yield server


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A panel folder with a shooting list beside its files; panel and list are invented."""
    path = tmp_path / "harbour-desk"
    new_panel(path, PanelSpec("harbour-desk", *SIZE, (598.0, 336.0), peak_cd_m2=250.0))
    (path / "two-fields.toml").write_text(LIST, encoding="utf-8")
    return path


def shoot(folder: Path, *more: str) -> tuple[str, ...]:
    return ("camera", "shoot", str(folder), "--list", str(folder / "two-fields.toml"), *more)


def take_page(run: Program, display: Display, title: str, key: str = "Return") -> None:
    run.wait_for(f"PAGE {title}")
    run.wait_for("LISTENS")
    display.key(key)


def take(run: Program, display: Display, number: int, name: str, pattern: str, code: float) -> None:
    """Go from the page before a shot to the page after it; on the screen is the field and nothing else."""
    take_page(run, display, f"Photograph {number} of 5: {name}")
    run.wait_shown(pattern)
    assert different_in_the_end(display, raster(build(pattern, *SIZE, codes=(code,) * 3))) == 0
    time.sleep(FRAME_S)
    display.key("Return")


def record_of(folder: Path) -> dict[str, object]:
    (path,) = folder.glob("checkpoints/*/shoots/shoot-1.json")
    data: dict[str, object] = json.loads(path.read_text(encoding="utf-8"))
    return data


def done(folder: Path) -> list[str]:
    shots = record_of(folder)["shots"]
    assert isinstance(shots, list)
    return [one["name"] for one in shots if one["to_utc"]]


def test_a_shoot_that_is_killed_goes_on_with_the_shot_that_is_missing(display: Display, folder: Path) -> None:
    with program(display, *shoot(folder, "--hours", "1460")) as run:
        take_page(run, display, "Before you go on")
        take_page(run, display, "Photographing harbour-desk: ")
        take_page(run, display, "Photograph 1 of 5: title-card")
        run.wait_shown("label-card")
        time.sleep(1.0)  # the fade's last frame is the exact one
        (read,) = zxingcpp.read_barcodes(display.grab()[..., 1].copy(), formats=zxingcpp.BarcodeFormat.QRCode)
        (checkpoint,) = (folder / "checkpoints").iterdir()
        assert label_of(read.text) == ShootLabel("harbour-desk", checkpoint.name, "shoot-1", NAMES)
        display.key("Return")
        take(run, display, 2, "dots", "dot-grid", 128)
        take_page(run, display, "Photograph 3 of 5: grey-c60")
        run.wait_shown("field")
        run.process.kill()
        assert run.finish()[0] == -9
    assert (record_of(folder)["status"], done(folder)) == ("running", ["title-card", "dots"])
    assert check(folder).problems == ()

    with program(display, *shoot(folder)) as run:
        take_page(run, display, "Before you go on")
        take_page(run, display, "Photographing: shoot-1")
        take(run, display, 3, "grey-c60", "field", 60)
        take(run, display, 4, "grey-c150", "field", 150)
        take(run, display, 5, "dots-end", "dot-grid", 128)
        take_page(run, display, "Photographs are taken")
        code, errors = run.finish()
        assert (code, errors) == (0, "")
        assert any("shoot-1, 5 of 5 photographs taken" in line for line in run.drain())
    assert (record_of(folder)["status"], done(folder)) == ("done", ["title-card", *NAMES])
    assert [one["note"] for one in record_of(folder)["shots"]] == [None] * 5  # type: ignore[union-attr, attr-defined]


def test_photographing_step_by_step(display: Display, folder: Path) -> None:
    """Escape, resume goes on, and one field is taken once more: the journey ``photographs`` of docs/journeys.toml."""
    journey = Journey("photographs", display)

    def come_to(title: str, step: str, key: str = "Return") -> None:
        run.wait_for(f"PAGE {title}")
        run.wait_for("LISTENS")
        journey.step(step)
        display.key(key)

    def see(pattern: str, step: str) -> None:
        run.wait_shown(pattern)
        journey.step(step)
        time.sleep(FRAME_S)
        display.key("Return")

    with program(display, *shoot(folder, "--hours", "1460")) as run:
        come_to("Before you go on", "cautions")
        come_to("Photographing harbour-desk: ", "what-comes")
        come_to("Photograph 1 of 5: title-card", "before-the-title-card")
        see("label-card", "title-card")
        come_to("Photograph 2 of 5: dots", "before-the-dots")
        see("dot-grid", "dots")
        come_to("Photograph 3 of 5: grey-c60", "before-a-field", "Escape")
        assert run.finish()[0] == 1
    with program(display, "resume", str(folder)) as run:
        take_page(run, display, "Before you go on")
        come_to("Photographing: shoot-1", "gone-on-with")
        take_page(run, display, "Photograph 3 of 5: grey-c60")
        run.wait_shown("field")
        journey.step("a-field")
        display.key("Return")
        come_to("Photograph 4 of 5: grey-c150", "once-more", "Left")
        take_page(run, display, "Photograph 3 of 5: grey-c60")
        run.wait_shown("field")
        time.sleep(FRAME_S)
        display.key("Return")
        take(run, display, 4, "grey-c150", "field", 150)
        take(run, display, 5, "dots-end", "dot-grid", 128)
        come_to("Photographs are taken", "taken")
        assert run.finish() == (0, "")
    journey.ended()
    assert (record_of(folder)["status"], done(folder)) == ("done", ["title-card", *NAMES])


def test_resume_goes_on_with_photographs_where_they_were_interrupted(display: Display, folder: Path) -> None:
    with program(display, *shoot(folder, "--hours", "1460")) as run:
        take_page(run, display, "Before you go on")
        take_page(run, display, "Photographing harbour-desk: ")
        take_page(run, display, "Photograph 1 of 5: title-card")
        run.wait_shown("label-card")
        run.process.kill()
        assert run.finish()[0] == -9
    with program(display, "resume", str(folder)) as run:
        take_page(run, display, "Before you go on")
        take_page(run, display, "Photographing: shoot-1")
        take_page(run, display, "Photograph 1 of 5: title-card", "Escape")
        assert run.finish()[0] == 1
    assert record_of(folder)["status"] == "stopped"


def test_escape_while_a_field_stands_goes_dark_and_keeps_the_rest(display: Display, folder: Path) -> None:
    with program(display, *shoot(folder, "--hours", "1460")) as run:
        take_page(run, display, "Before you go on")
        take_page(run, display, "Photographing harbour-desk: ")
        take_page(run, display, "Photograph 1 of 5: title-card")
        run.wait_shown("label-card")
        time.sleep(FRAME_S)
        display.key("Next")  # a presenter's remote
        take_page(run, display, "Photograph 2 of 5: dots", "Next")
        run.wait_shown("dot-grid")
        display.key("Escape")
        code, errors = run.finish()
        assert code == 1 and "Traceback" not in errors
    assert (record_of(folder)["status"], done(folder)) == ("stopped", ["title-card"])


def test_what_is_not_installed_is_said_before_the_screen_opens(display: Display, folder: Path, tmp_path: Path) -> None:
    (tmp_path / "segno.py").write_text("raise ModuleNotFoundError(\"No module named 'segno'\", name='segno')\n")
    path = {"PYTHONPATH": str(tmp_path)}
    with program(display, *shoot(folder, "--hours", "1460"), extra=path) as run:
        code, errors = run.finish()
        assert run.drain() == []
    assert code == 2
    assert 'the camera needs the library segno; pip install -e ".[camera]" in the checkout installs it' in errors
    assert list((folder / "checkpoints").iterdir()) == []
