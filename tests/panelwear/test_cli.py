"""The command line: each way a command can end, its sentence and its exit code."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from panelwear import cli
from panelwear.commands import parsing


def ended_by(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> int:
    def run(_: object) -> int:
        raise error

    module = SimpleNamespace(run=run)
    monkeypatch.setattr(parsing, "parser_for", lambda _: (parsing.Parser(), module))
    return cli.main(["screens"])


@pytest.mark.parametrize(
    ("error", "code", "said"),
    [
        (OSError(errno.ENOSPC, "No space left on device", "a/b"), 5, "a/b: No space left on device"),
        (BrokenPipeError(errno.EPIPE, "Broken pipe"), 5, "Broken pipe"),
        (EOFError(), 1, "the answers ended"),
        (KeyboardInterrupt(), 1, "stopped"),
        (MemoryError(), 5, "memory is full"),
    ],
)
def test_what_ends_a_command_from_outside_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], error: BaseException, code: int, said: str
) -> None:
    assert ended_by(error, monkeypatch) == code

    told = capfd.readouterr().err
    assert told.startswith("panelwear screens: ")
    assert said in told
    assert told.count("\n") == 1


def test_a_fault_of_the_program_is_a_sentence_that_says_where_and_has_a_code_of_its_own(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    assert ended_by(ZeroDivisionError("by\x1b[2J nothing"), monkeypatch) == 6
    told = capfd.readouterr().err
    assert "a fault of the program itself (ZeroDivisionError: by" in told
    assert "test_cli.py, line" in told
    assert "\x1b" not in told


def test_a_fault_of_the_program_keeps_its_traceback_where_it_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(cli.TRACEBACK, "1")
    with pytest.raises(ZeroDivisionError):
        ended_by(ZeroDivisionError(), monkeypatch)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows knows no broken pipes")
def test_a_reader_who_has_seen_enough_ends_a_listing_quietly() -> None:
    listing = subprocess.Popen(
        [sys.executable, "-m", "panelwear.cli", "sequences", "checkpoint"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert listing.stdout is not None
    listing.stdout.close()

    assert listing.stderr is not None
    assert listing.stderr.read() == b""
    assert listing.wait() == 1
    listing.stderr.close()


def test_closing_in_a_folder_that_is_not_there_makes_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["close", str(tmp_path / "nonexist")]) == 2

    assert "panelwear new" in capsys.readouterr().err
    assert [*tmp_path.iterdir()] == []


@pytest.mark.parametrize(
    "command",
    [
        "check", "status", "compare", "compare --all", "report", "forecast", "usage", "export", "archive", "discard",
        "close", "inspect --hours 5", "spot --hours 5", "look --hours 5", "resume", "zones", "zones --list",
        "camera zones", "camera shoot --hours 5", "probe stability",
    ],
)  # fmt: skip
@pytest.mark.parametrize("there", [True, False])
def test_a_folder_that_is_no_panel_folder_has_one_exit_code_for_every_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], command: str, there: bool
) -> None:
    folder = tmp_path / "desk"
    if there:
        folder.mkdir()

    assert cli.main([*command.split(), str(folder)]) == 2
    said = "".join(capsys.readouterr())
    assert str(folder) in said.replace("\n  ", " ") or str(folder) in said.replace("\n", "")
    assert [*tmp_path.rglob("*")] == ([folder] if there else [])


def test_arithmetic_takes_one_thread_unless_the_person_wants_more() -> None:
    asked = "import os, sys; from panelwear.cli import main; main(['--version']); "
    asked += f"print('numpy' in sys.modules, os.environ['{cli.ONE_THREAD}'])"
    for given, found in ((None, "1"), ("3", "3")):
        environ = {name: value for name, value in os.environ.items() if name != cli.ONE_THREAD}
        environ |= {} if given is None else {cli.ONE_THREAD: given}
        done = subprocess.run([sys.executable, "-c", asked], env=environ, capture_output=True, text=True, check=True)
        assert done.stdout.splitlines()[-1] == f"False {found}"
