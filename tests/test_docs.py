"""Every promise of the documents is kept by the program."""

from __future__ import annotations

import importlib
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from panelwear import errors
from panelwear.cli import COMMANDS
from panelwear.commands.camera import SUBCOMMANDS as OF_THE_CAMERA
from panelwear.commands.parsing import Parser
from panelwear.commands.probe import SUBCOMMANDS
from panelwear.readings.columns import table_of
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.readings.row import FLAGS, Row
from panelwear.readings.stability import StabilityReading
from sequences import reader

ROOT = Path(__file__).resolve().parent.parent


MODULES = {
    **{name: name.replace("-", "_") for name in COMMANDS if name not in {"probe", "camera"}},
    **{f"probe {name}": f"probe_{name}" for name in SUBCOMMANDS},
    **{f"camera {name}": f"camera_{name}" for name in OF_THE_CAMERA},
}
"""Every command as it is typed, and its module in ``panelwear.commands``."""


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

    assert [kind for kind in (Row, Mark, MatchResult, StabilityReading) if table_of(kind) not in described] == []
    assert [flag for flag in FLAGS if f"| `{flag}` |" not in described] == []


def test_every_shipped_sequence_is_described() -> None:
    described = words("README.md") + words("docs/sequence-file.md")

    assert [name for name in reader.shipped() if f"`{name}`" not in described] == []


def test_an_unknown_command_names_the_nearest_one() -> None:
    result = subprocess.run([sys.executable, "-m", "panelwear", "inspct"], check=False, capture_output=True, text=True)

    assert result.returncode == 2
    assert "Did you mean 'inspect'?" in result.stderr
    assert "Traceback" not in result.stderr


def parser_of(command: str) -> Parser:
    parser = Parser(prog=f"panelwear {command}")
    importlib.import_module(f"panelwear.commands.{MODULES[command]}").add_arguments(parser)
    return parser


def told_by_the_parser(command: str) -> set[str]:
    usage = parser_of(command).format_usage().replace("[", " ").replace("]", " ")
    return {word for word in usage.split() if word.startswith("--")}


def section(command: str) -> list[str]:
    """Return the lines of ``docs/commands.md`` under a command's own heading."""
    lines = words("docs/commands.md").splitlines()
    heads = [n for n, line in enumerate(lines) if line.startswith("## ")]
    mine = [n for n in heads if f"{lines[n]} ".startswith(f"## panelwear {command} ")]
    assert len(mine) == 1, f"wanted one heading of {command}"
    return lines[mine[0] : next((n for n in heads if n > mine[0]), len(lines))]


def examples(lines: list[str]) -> list[list[str]]:
    return [shlex.split(line)[1:] for line in lines if line.startswith("panelwear ")]


@pytest.mark.parametrize("command", MODULES)
def test_every_option_of_a_command_is_described_and_no_other(command: str) -> None:
    rows = [line for line in section(command) if line.startswith("| `--")]
    described = [row.removeprefix("| `").partition("`")[0].partition(" ")[0] for row in rows]

    assert sorted(described) == sorted(told_by_the_parser(command))
    assert [row for row in rows if not row.partition("` | ")[2].strip(" |")] == []


@pytest.mark.parametrize("command", MODULES)
def test_the_examples_of_a_command_are_understood(command: str) -> None:
    typed = examples(section(command))

    assert typed
    for example in typed:
        mine = command.split()
        assert example[: len(mine)] == mine
        parser_of(command).parse_args(example[len(mine) :])  # ends the test with its sentence if it does not fit


def test_every_exit_code_is_described() -> None:
    rows = [line for line in words("docs/commands.md").splitlines() if line.startswith("| ")]
    described = {row.split("|")[1].strip() for row in rows}
    classes = [c for c in vars(errors).values() if isinstance(c, type) and issubclass(c, errors.PanelwearError)]

    assert {"0", *(str(c.exit_code) for c in classes)} <= described


def test_every_benchmark_is_described() -> None:
    scripts = [path.name for path in (ROOT / "benchmarks").glob("[!_]*.py")]

    assert [name for name in scripts if f"| `{name}` |" not in words("DEVELOPERS.md")] == []
    assert scripts
