"""Finds the figures: one module each in ``panelwear.figures.each``, in the order they say."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from functools import cache

from panelwear.figures.evidence import Evidence
from panelwear.uncertainty.estimate import Estimate

Figure = Callable[[Evidence], list[Estimate]]


@cache
def all_figures() -> tuple[tuple[str, Figure], ...]:
    """Return name and function of every figure, in the order of their ``ORDER``."""
    package = importlib.import_module("panelwear.figures.each")
    found = []
    for entry in pkgutil.iter_modules(package.__path__):
        module = importlib.import_module(f"{package.__name__}.{entry.name}")
        found.append((int(module.ORDER), entry.name, module.figures))
    return tuple((name, function) for _, name, function in sorted(found, key=lambda item: item[:2]))
