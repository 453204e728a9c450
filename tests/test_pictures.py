"""Every screen of docs/screens.md can be made, and the page shows each."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.scripts import DOCS, script

MADE, PRINT = script("make_pictures"), script("picturing")


@pytest.mark.parametrize("one", MADE.SCREENS, ids=lambda one: one.name)
def test_every_screen_can_be_made_and_its_picture_is_there(one: Any) -> None:
    picture = PRINT.printed(MADE.picture_of(one))
    assert picture.shape == (720, 1280, 3)
    assert (picture.max(axis=2) > PRINT.DIM_CODE).sum() > 300, "something is to be read on it"
    with Image.open(DOCS / "pictures" / "screens" / f"{one.name}.png") as kept:
        assert kept.size == MADE.SIZE
        # Letters of another version of the drawing library differ by a pixel here and there.
        assert np.abs(np.asarray(kept.convert("RGB")).astype(float) - picture).mean() < 6.0


def test_the_page_shows_every_screen_and_no_other() -> None:
    assert (DOCS / "screens.md").read_text(encoding="utf-8") == MADE.page_text()
    names = {one.name for one in MADE.SCREENS}
    assert len(names) == len(MADE.SCREENS)
    assert {path.stem for path in (DOCS / "pictures" / "screens").glob("*.png")} == names


def test_every_step_of_every_journey_has_its_picture_on_the_page_and_the_folder_is_small() -> None:
    folder = DOCS / "pictures" / "journeys"
    files = [file for one in MADE.JOURNEYS for file in one.pictures]
    assert len(set(files)) == len(files) > 30
    assert {path.name for path in folder.iterdir()} == set(files)
    assert sum(path.stat().st_size for path in folder.iterdir()) < 2_000_000
    page = (DOCS / "screens.md").read_text(encoding="utf-8")
    shown = re.findall(r"\(pictures/journeys/([^)]+)\)", page)
    assert shown == files
    for file in files:
        with Image.open(folder / file) as kept:
            assert kept.size == MADE.SIZE


def test_every_picture_that_the_page_names_is_there() -> None:
    named = re.findall(r"\((pictures/[^)]+)\)", (DOCS / "screens.md").read_text(encoding="utf-8"))
    assert named
    assert [name for name in named if not (DOCS / name).is_file()] == []


@pytest.mark.parametrize("one", MADE.JOURNEYS, ids=lambda one: one.name)
def test_the_test_that_goes_a_journey_is_there_and_comes_to_its_steps(one: Any) -> None:
    path, _, name = one.test.partition("::")
    text = (DOCS.parent / path).read_text(encoding="utf-8")
    _, _, body = text.partition(f"def {name}(")
    assert body
    assert [step for step, _ in one.steps if f'"{step}"' not in text] == []
