"""Every promise of the documents is kept by the program."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from panelwear.cli import COMMANDS
from panelwear.journal.columns import COLUMNS, FLAGS
from sequences import reader

ROOT = Path(__file__).resolve().parent.parent


def words(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_is_in_the_readme(command: str) -> None:
    told = subprocess.run(
        [sys.executable, "-m", "panelwear", command, "--help"], check=True, capture_output=True, text=True
    ).stdout

    assert f"usage: panelwear {command}" in told
    assert f"panelwear {command}" in words("README.md")


def test_every_column_and_flag_is_described() -> None:
    described = words("docs/csv.md")

    assert [c.name for c in COLUMNS if f"| `{c.name}` |" not in described] == []
    assert [flag for flag in FLAGS if f"| `{flag}` |" not in described] == []


def test_every_shipped_sequence_is_described() -> None:
    described = words("README.md") + words("docs/sequence-file.md")

    assert [name for name in reader.shipped() if f"`{name}`" not in described] == []


def test_an_unknown_command_names_the_nearest_one() -> None:
    result = subprocess.run([sys.executable, "-m", "panelwear", "inspct"], check=False, capture_output=True, text=True)

    assert result.returncode == 2
    assert "Did you mean 'inspect'?" in result.stderr
    assert "Traceback" not in result.stderr
