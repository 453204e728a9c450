"""What light a patch is due to give: by the run's own readings, else by a response, else by the panel file."""

from __future__ import annotations

from dataclasses import replace

from panelwear.panel.plausible import Expected, from_readings, from_response, from_stated
from panelwear.panel.resolve import Resolved
from panelwear.panel.response import MEASURED
from panelwear.readings.row import Row
from panelwear.readings.table import UNUSABLE_FLAGS
from panelwear.run.state import RunState
from patterns.frame import Frame
from sequences.model import Patch, Place

NOT_OF_THE_PATCH = ("probe-floor", "screen-off")
"""Purposes of readings in which the probe is covered or the panel off on purpose."""
NOT_JUDGED = ("settling", "locate", "control")
"""Purposes of patches that are read while they change, or to find something out."""
EVEN = ("field", "window", "zone", "strip")
"""Patterns whose rectangle holds the patch's own light all over."""


def light_due(state: RunState, patch: Patch, resolved: Resolved, purpose: str, frame: Frame) -> Expected | None:
    """Predict a reading; ``None`` where nothing can be said of it."""
    if purpose in NOT_OF_THE_PATCH or patch.purpose in NOT_JUDGED:
        return None
    same = [row for row in state.rows if _same_light(row, patch, resolved, frame)]
    here = [row.Y_cd_m2 for row in same if row.place == patch.place.name and row.Y_cd_m2 is not None]
    if here:
        return from_readings(here, same_place=True)
    if frame.pattern not in EVEN or not fills_aperture(state, patch.place, frame):
        return None
    return _by_response(state, patch, resolved, [row.Y_cd_m2 for row in same if row.Y_cd_m2 is not None])


def _by_response(state: RunState, patch: Patch, resolved: Resolved, there: list[float]) -> Expected:
    """Predict an even patch by the best response there is, or by what it read at other places of the panel."""
    response, _ = state.resolver.response_for(patch)
    due = response.luminance(patch.hue, max(resolved.codes)) if any(resolved.codes) else response.grey.black_cd_m2
    if not response.geometry.name:  # the panel file's: nothing was ever measured
        if there:
            return from_readings(there, same_place=False)
        stated = "peak_cd_m2" in state.panel.assumed_response
        return from_stated(due, response.grey.peak_cd_m2, stated=stated)
    same_geometry = response.geometry.holds_for(patch.geometry, patch.background)
    if there and not same_geometry:
        return from_readings(there, same_place=False)
    expected = from_response(due, same_geometry=same_geometry, told=response.told)
    if response.basis == MEASURED:
        return expected
    return replace(expected, cd_m2=state.light_scale * expected.cd_m2, of_earlier_session=True)


def _same_light(row: Row, patch: Patch, resolved: Resolved, frame: Frame) -> bool:
    """Tell whether a row is a usable reading of the same codes in the same geometry."""
    if row.purpose in NOT_OF_THE_PATCH or row.purpose in NOT_JUDGED or set(row.flags.split()) & set(UNUSABLE_FLAGS):
        return False
    shown = (row.red, row.green, row.blue) == tuple(float(code) for code in resolved.codes)
    return shown and row.pattern == frame.pattern and row.patch.rpartition("/")[2] == patch.geometry


def fills_aperture(state: RunState, place: Place, frame: Frame) -> bool:
    """Tell whether a probe in the middle of its place sees nothing but the pattern's rectangle."""
    rect, (x, y) = frame.rect, place.at_px
    radius_x, radius_y = (state.probe_settings.aperture_mm / 2 / pitch for pitch in state.panel.pitch_mm)
    inside_x = rect.x <= x - radius_x and x + radius_x <= rect.x + rect.w
    return inside_x and rect.y <= y - radius_y and y + radius_y <= rect.y + rect.h
