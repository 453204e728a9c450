"""Completion by Tab, asked as the shell's function asks: the line in the environment, answers on descriptor 8."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from panelwear.cli import COMMANDS
from panelwear.commands.probe import SUBCOMMANDS
from panelwear.completion import parser_of_line

pytestmark = pytest.mark.skipif(os.name == "nt", reason="descriptor 8 is the way of POSIX shells")


def completions(line: str, folder: Path, *, hide: bool = False) -> list[str]:
    """Return what Tab offers behind a line, the program started in a folder."""
    answer = folder / "answer"
    asked = {"_ARGCOMPLETE": "1", "_ARGCOMPLETE_IFS": "\n", "COMP_LINE": line, "COMP_POINT": str(len(line.encode()))}
    start = "import sys; sys.modules['argcomplete'] = None; " if hide else ""
    program = f"{start}import sys; from panelwear.cli import main; sys.exit(main())"
    command = f'exec 8>"{answer}" 9>/dev/null; exec "{sys.executable}" -c "$PROGRAM"'
    done = subprocess.run(
        ["sh", "-c", command],
        env={**os.environ, **asked, "PROGRAM": program},
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (done.stdout, done.stderr) == ("", "")
    return answer.read_text(encoding="utf-8").split()


@pytest.fixture
def panel(tmp_path: Path) -> Path:
    folder = tmp_path / "desk"
    for name in ("2026-01-05-h0", "2026-04-06-h900"):
        (folder / "checkpoints" / name).mkdir(parents=True)
    (folder / "panel.toml").write_text(
        'name = "desk"\npixels = [1920, 1080]\nactive_area_mm = [597, 336]\n\n[[zones]]\nname = "clock-badge"\n'
        "rect_px = [0, 0, 200, 100]\n"
    )
    return folder


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("panelwear co", ["compare"]),
        ("panelwear compare desk --fo", ["--forecast"]),
        ("panelwear compare desk --from ", ["2026-01-05-h0", "2026-04-06-h900"]),
        ("panelwear amend desk 2026-04", ["2026-04-06-h900"]),
        ("panelwear look desk --match cl", ["clock-badge"]),
        ("panelwear look desk --method fo", ["forced-choice"]),
        ("panelwear inspect desk --sequence unif", ["uniformity"]),
        ("panelwear probe read --instrument pl", ["plain-lines"]),
        ("panelwear probe stab", ["stability"]),
        ("panelwear camera shoot desk --list us", ["usual"]),
        ("panelwear show near", ["near-black", "near-white"]),
        ("panelwear report de", ["desk/"]),
    ],
)
def test_tab_offers(line: str, wanted: list[str], panel: Path) -> None:
    assert completions(line, panel.parent) == wanted


def test_a_damaged_folder_offers_nothing_and_says_nothing(panel: Path) -> None:
    (panel / "panel.toml").write_text("name = ")

    assert completions("panelwear look desk --match ", panel.parent) == []


def test_without_argcomplete_a_line_that_is_typed_starts_nothing(tmp_path: Path) -> None:
    assert completions("panelwear ", tmp_path, hide=True) == []


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_can_be_completed(command: str) -> None:
    told = parser_of_line(COMMANDS, f"panelwear {command} ").format_help()

    assert all(name in told for name in COMMANDS)


def test_only_the_typed_command_is_imported() -> None:
    program = (
        "import sys; from panelwear.cli import COMMANDS; from panelwear.completion import parser_of_line; "
        "parser_of_line(COMMANDS, 'panelwear close x'); print(*sorted(m for m in sys.modules if '.commands.' in m))"
    )
    said = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True).stdout

    assert said.split() == ["panelwear.commands.close"]
    assert SUBCOMMANDS
