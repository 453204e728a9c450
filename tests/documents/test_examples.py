"""The scripts of docs/examples run, and their output names what the folder holds; the page on the API is true."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from panelwear import api
from tests.documents.folder_by_the_docs import Wear, write_folder
from tests.documents.tables import ROOT, table, text_of

EXAMPLES = sorted((ROOT / "docs" / "examples").glob("*.py"))


@pytest.fixture(scope="module")
def directory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("examples") / "desk"
    write_folder(folder, Wear((1.0, 1.0, 0.95), 0.98))
    return folder


def test_there_is_an_example() -> None:
    assert [path.name for path in EXAMPLES] == ["white_against_hours.py"]


def test_white_against_hours(directory: Path, tmp_path: Path) -> None:
    picture = tmp_path / "white.png"
    done = subprocess.run(
        [sys.executable, EXAMPLES[0], directory, picture], check=False, capture_output=True, text=True, encoding="utf-8"
    )

    assert (done.returncode, done.stderr) == (0, "")
    assert re.search(r"^ +900 h  white\.Y +193", done.stdout, re.MULTILINE)
    assert re.search(r"^list.*: -2(\.0\d?)? ± 0\.\d+ %$", done.stdout, re.MULTILINE)
    assert picture.read_bytes().startswith(b"\x89PNG")


def test_an_example_without_its_arguments_says_which() -> None:
    done = subprocess.run([sys.executable, EXAMPLES[0]], check=False, capture_output=True, text=True, encoding="utf-8")

    assert done.returncode == 1 and "DIR PICTURE" in done.stderr


def test_the_page_names_every_public_word_of_the_api() -> None:
    told = " ".join(row["call"] for row in table("docs/api.md", "call"))
    methods = {name for name in vars(api.PanelFolder) if not name.startswith("_")} - {"evidence", "without_baseline"}

    assert {"open_folder", "columns"} <= set(re.findall(r"\w+", told))
    assert methods - {"comparison"} <= set(re.findall(r"\w+", told))


def test_the_page_names_every_column_of_a_figure(directory: Path) -> None:
    record = api.open_folder(directory).figures()[0]
    row = next(row for row in table("docs/api.md", "call") if row["call"].startswith(".figures"))

    assert [name for name in record if name not in re.findall(r"\w+", row["gives"])] == []


def test_the_block_of_the_page_runs(directory: Path) -> None:
    block = re.findall(r"```python\n(.*?)```", text_of("docs/api.md"), re.DOTALL)[0]
    block = block.replace("rehearsal/harbour-desk", directory.as_posix())
    where = directory.parent

    subprocess.run([sys.executable, "-c", block], check=True, cwd=where, env=None)
    assert (where / "white.svg").exists()
