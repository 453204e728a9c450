"""What ``--version`` says in a checkout, beside one, and without git."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from panelwear import __version__
from panelwear.version import git_state, told

needs_git = pytest.mark.skipif(shutil.which("git") is None, reason="needs git")


def git(folder: Path, *words: str) -> str:
    named = ("-c", "user.name=nobody", "-c", "user.email=nobody@localhost", "-c", "init.defaultBranch=main")
    return subprocess.run(["git", "-C", str(folder), *named, *words], check=True, capture_output=True, text=True).stdout


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    git(tmp_path, "init", "-q")
    (tmp_path / "a.txt").write_text("a\n")
    git(tmp_path, "add", "a.txt")
    git(tmp_path, "commit", "-q", "-m", "one")
    return tmp_path


@needs_git
def test_a_checkout_tells_its_commit_and_whether_files_differ(checkout: Path) -> None:
    commit = git(checkout, "rev-parse", "HEAD")[:8]
    assert told(checkout) == f"panelwear {__version__} ({commit})"

    (checkout / "new.txt").write_text("git does not know it\n")
    assert git_state(checkout) == commit

    (checkout / "a.txt").write_text("b\n")
    assert git_state(checkout) == f"{commit}, with changes"


@needs_git
def test_below_another_checkout_nothing_is_told(checkout: Path) -> None:
    (checkout / "site-packages").mkdir()

    assert told(checkout / "site-packages") == f"panelwear {__version__}"


@needs_git
def test_a_checkout_of_another_program_is_not_asked_through_the_environment(
    checkout: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GIT_DIR", str(checkout / "nowhere"))

    assert (
        git_state(checkout) == git(Path(__file__).parent, "--git-dir", str(checkout / ".git"), "rev-parse", "HEAD")[:8]
    )


@needs_git
def test_nothing_committed_yet_is_no_commit(tmp_path: Path) -> None:
    git(tmp_path, "init", "-q")

    assert git_state(tmp_path) == ""


def test_without_git_the_version_stands_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.setenv("PATH", str(tmp_path))

    assert told(tmp_path) == f"panelwear {__version__}"


def test_a_git_that_fails_is_not_heard(tmp_path: Path) -> None:
    (tmp_path / ".git").write_text("gitdir: nowhere\n")

    assert told(tmp_path) == f"panelwear {__version__}"


def test_the_command_says_it() -> None:
    said = subprocess.run([sys.executable, "-m", "panelwear", "--version"], check=True, capture_output=True, text=True)

    assert re.fullmatch(rf"panelwear {re.escape(__version__)}( \([0-9a-f]{{8}}(, with changes)?\))?\n", said.stdout)
