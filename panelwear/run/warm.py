"""Load what a run computes with before the screen is up: an import of a second would keep Escape waiting."""

from __future__ import annotations

import importlib

LIBRARIES = ("scipy.interpolate", "scipy.optimize", "scipy.special", "scipy.stats")
"""What settling, repeats, responses and the search for the probe compute with."""
MODULES = ("aperture", "edges", "locate", "measured", "noise", "placement", "reads", "refine", "standing", "steady")
"""Modules of ``panelwear.panel`` that steps import where they use them."""


def warm() -> None:
    """Import them; about 1 s the first time, nothing after that."""
    for name in (*LIBRARIES, *(f"panelwear.panel.{module}" for module in MODULES)):
        importlib.import_module(name)
