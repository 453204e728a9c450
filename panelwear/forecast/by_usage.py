"""A comparison whose forecasts go by what was told of usage, as it is kept in the panel's folder."""

from __future__ import annotations

from panelwear.compare.comparison import Comparison
from panelwear.compare.like_use import with_usage
from panelwear.errors import PanelwearError
from panelwear.folder.panel import Panel
from panelwear.usage.records import FILE
from panelwear.usage.told import usage_told

WITHOUT_IT = "until that is put right, forecasts go by the rest of what was told of usage"
WITHOUT_ALL = "until that is put right, forecasts take every hour of use for as hard as any other"


def by_usage(found: Comparison, panel: Panel) -> tuple[Comparison, tuple[str, ...]]:
    """Let forecasts go by what was told of usage.

    Returns:
        The comparison, and what of the usage is faulty and was left out, a sentence each without its full stop.
    """
    try:
        told = usage_told(panel)
    except PanelwearError as error:
        return found, (*getattr(error, "problems", (str(error),)), f"{FILE}: {WITHOUT_ALL}")
    faults = (*told.faults, f"{FILE}: {WITHOUT_IT}") if told.faults else ()
    return with_usage(found, told, panel.facts()), faults
