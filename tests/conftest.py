"""How many examples a property is tried on: few at work, many in ``.ci/run``; the wall clock judges none of them."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

from hypothesis import settings

from panelwear.cli import ONE_THREAD

os.environ.setdefault(ONE_THREAD, "1")  # as the program does, before anything imports numpy

# Sentences are looked for in what is said, so lines are not broken; tests/panelwear/telling asks for widths of its own.
os.environ["COLUMNS"] = "1000"

# Panel folders that tests open are no business of the person who runs them: their start screen would list them all.
os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="panelwear-tests-")
atexit.register(shutil.rmtree, os.environ["XDG_STATE_HOME"], ignore_errors=True)

settings.register_profile("quick", max_examples=30, deadline=None)
settings.register_profile("thorough", max_examples=100, deadline=None)
settings.load_profile("quick")
