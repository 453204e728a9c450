"""How many examples a property is tried on: few at work, many in ``.ci/run``; the wall clock judges none of them."""

from __future__ import annotations

import os

from hypothesis import settings

from panelwear.cli import ONE_THREAD

os.environ.setdefault(ONE_THREAD, "1")  # as the program does, before anything imports numpy

settings.register_profile("quick", max_examples=30, deadline=None)
settings.register_profile("thorough", max_examples=100, deadline=None)
settings.load_profile("quick")
