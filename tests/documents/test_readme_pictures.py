"""The pictures of README.md are the program's own, twice as large as they are shown, and small files."""

from __future__ import annotations

import os
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.documents.tables import links_of
from tests.scripts import script

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the script asks a terminal of POSIX")
NAMES = ("report", "target", "mark", "compare")


@pytest.fixture(scope="module")
def made() -> Any:
    return script("make_readme_pictures")


def test_the_readme_shows_them_and_no_others(made: Any) -> None:
    shown = [link for link in links_of("README.md") if link.endswith(".png")]

    assert sorted(shown) == sorted(f"docs/pictures/readme/{name}.png" for name in NAMES)
    assert {path.stem for path in made.FOLDER.iterdir()} == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_is_a_small_file_of_many_pixels(made: Any, name: str) -> None:
    path = made.FOLDER / f"{name}.png"

    assert path.stat().st_size < made.MOST_BYTES
    with Image.open(path) as kept:
        assert kept.width >= made.TWICE * (1000 if name == "report" else 400)
        assert kept.mode == "P"


@pytest.mark.parametrize("name", ["target", "mark"])
def test_a_screen_is_as_the_program_draws_it_today(made: Any, name: str) -> None:
    drawn = np.asarray(made.screen_picture(getattr(made, name)).convert("RGB")).astype(float)

    assert len(np.unique(drawn.reshape(-1, 3), axis=0)) > 3
    with Image.open(made.FOLDER / f"{name}.png") as kept:
        # Letters of another version of the drawing library differ by a pixel here and there.
        assert np.abs(np.asarray(kept.convert("RGB")).astype(float) - drawn).mean() < 3.0


def test_a_terminal_has_eighty_columns_and_what_is_said_stands_in_them(made: Any) -> None:
    full, short, bold = (
        np.asarray(made.terminal_picture("x", said)) for said in ("M" * 80, "M" * 79, f"\x1b[1m{'M' * 80}\x1b[0m")
    )

    assert full.shape == short.shape == bold.shape
    assert not (full == short).all() and not (full == bold).all()
    margin = made.TYPE_PX
    right = slice(-margin - margin // 3, -margin)  # inside the last column
    assert full[:, right].max() > 200 > short[:, right].max()


def test_a_command_is_heard_on_a_terminal(made: Any) -> None:
    said = made.said_on_a_terminal("sequences")

    assert "checkpoint" in said and "\r" not in said
