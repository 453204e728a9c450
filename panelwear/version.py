"""What ``panelwear --version`` says: the version, and in a checkout which commit, and whether files differ from it."""

from __future__ import annotations

import os
from pathlib import Path

from panelwear import __version__

HOME = Path(__file__).resolve().parent.parent
WAIT_S = 2.0
"""No longer than this is git waited for; a checkout on a slow disk is then told without its state."""
DIGITS = 8


def told(home: Path = HOME) -> str:
    """Return the line, ``panelwear 0.1.0`` or ``panelwear 0.1.0 (1b3a6a1c, with changes)``."""
    state = git_state(home)
    return f"panelwear {__version__}" + (f" ({state})" if state else "")


def git_state(home: Path) -> str:
    """Return short commit and whether tracked files differ from it; empty outside a checkout, or without git.

    Args:
        home: folder our packages lie in. Only a ``.git`` in this very folder counts, so that a program installed
            somewhere below another project's checkout does not tell that one's commit.
    """
    if not (home / ".git").exists():
        return ""
    import subprocess  # no other command, and no installed program, ever needs it here

    command = ["git", "--no-optional-locks", "-C", str(home), "status", "--porcelain=v2", "--branch", "-uno"]
    ours = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    try:
        asked = subprocess.run(command, check=True, capture_output=True, timeout=WAIT_S, env=ours)
    except (OSError, subprocess.SubprocessError):
        return ""
    lines = asked.stdout.decode("utf-8", "replace").splitlines()
    commit = next((line.split()[-1] for line in lines if line.startswith("# branch.oid ")), "")
    if not commit.isalnum():  # "(initial)" where nothing was committed yet
        return ""
    changed = any(not line.startswith("#") for line in lines)
    return commit[:DIGITS] + (", with changes" if changed else "")
