"""What pip is told of the program: one version, the Pythons it takes, types of every package, files that are there."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from panelwear import __version__

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PACKAGES = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"]


def test_the_version_is_told_once() -> None:
    assert PROJECT["project"]["version"] == __version__


@pytest.mark.parametrize("package", PACKAGES)
def test_every_package_ships_its_types(package: str) -> None:
    assert (ROOT / package / "__init__.py").is_file()
    assert (ROOT / package / "py.typed").is_file()


def test_the_classifiers_name_the_pythons_that_are_taken() -> None:
    least, below = (int(n) for n in re.findall(r"3\.(\d+)", PROJECT["project"]["requires-python"]))
    named = re.findall(r"Python :: 3\.(\d+)", "\n".join(PROJECT["project"]["classifiers"]))

    assert [int(n) for n in named] == [*range(least, below)]
    assert "Typing :: Typed" in PROJECT["project"]["classifiers"]


def test_files_that_are_shipped_are_there() -> None:
    named = [*PROJECT["project"]["license-files"], PROJECT["project"]["readme"]]
    named += PROJECT["tool"]["hatch"]["build"]["targets"]["sdist"]["include"]

    assert [name for name in named if not (ROOT / name).exists()] == []


def test_completion_is_no_dependency() -> None:
    assert not any(need.startswith("argcomplete") for need in PROJECT["project"]["dependencies"])
    assert any(need.startswith("argcomplete") for need in PROJECT["project"]["optional-dependencies"]["completion"])
