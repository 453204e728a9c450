"""What a run computes with is loaded before the screen is up, so that no key waits for an import."""

from __future__ import annotations

import subprocess
import sys

RUN = """
import sys, tempfile
from dataclasses import replace
from pathlib import Path
from panelwear.run.session import run_checkpoint
from panelwear.run.opening import warm
from sequences.model import CloseLook, PutProbe, Read, Reads, WarmUp
from tests.panelwear.run.bench import CENTRE, Stand, patch

two = Reads(n=5, until=0.002, max=12)
steps = (PutProbe(1, 1, CENTRE), WarmUp(2, 20, 30, 60.0, patch(128, purpose="reference", n=5)),
         Read(3, 1, replace(patch(90), reads=two)), CloseLook(4))
stand = Stand(Path(tempfile.mkdtemp()) / "harbour-desk", steps)
bench, job = stand.bench(), replace(stand.job(), unattended=True)
warm()
before = set(sys.modules)
run_checkpoint(bench, job)
print(*sorted(n for n in set(sys.modules) - before if n.split(".")[0] in {"scipy", "colour", "matplotlib", "pandas"}))
"""


def test_a_session_imports_no_heavy_library_once_the_screen_is_up() -> None:
    done = subprocess.run([sys.executable, "-c", RUN], capture_output=True, text=True, timeout=240, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == ""
