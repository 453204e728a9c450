"""What the photographs of a shoot share: where the panel lies in each pose, bad pixels, black, even surface, noise."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.cells import Cells, cells_seen
from panelwear.camera.photographs.field_light import MOST_SATURATED
from panelwear.camera.photographs.finding import panel_found
from panelwear.camera.photographs.kinds import PhotoFile
from panelwear.camera.photographs.opening import opened_photograph
from panelwear.camera.photographs.photograph import COLOURS, Colour, Photograph
from panelwear.camera.photographs.response import LINEAR_FROM, curve_of, slope, stair_numbers
from panelwear.camera.photographs.stack import Stack, bad_pixels, stacked
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.shots import Shot
from panelwear.errors import UsageError
from panelwear.folder.panel import Panel
from patterns.camera import STAIR_CODES

Curves = dict[Colour, NDArray[np.float32]]
STRAYING = 8.0
"""Standard deviations from which a pixel is left out."""
MOVED_PX = 1.0
"""Panel pixels (rms over its corners) by which the camera may have moved in a shoot at most: an eighth of a cell."""
DOUBTFUL_PX = 0.4
"""From here on it is said: red, green and blue sub-pixels themselves lie a third of a pixel apart."""
MOST_SATURATED_CELLS = 0.01
"""Share of the cells of an even surface."""
FEWEST_CAMERA_PX = 4.0
"""Camera pixels across a cell."""


@dataclass(frozen=True, slots=True)
class Files:
    """The photographs of a shoot by the names of its shots."""

    panel: Panel
    shots: tuple[Shot, ...]
    of: Mapping[str, tuple[PhotoFile, ...]]
    curves: Curves | None = None
    for_showing: bool = False
    """Their numbers are not those of a sensor, or nobody knows whether they are."""

    def opened(self, name: str) -> Iterator[Photograph]:
        """Open the photographs of a shot, one after the other."""
        for file in self.of.get(name, ()):
            photo = opened_photograph(file)
            yield photo.with_curves(self.curves) if self.curves else photo

    def named(self, kind: str, pose: int = 0) -> list[str]:
        """Name the shots of one kind and pose that have photographs."""
        return [one.name for one in self.shots if one.kind == kind and one.pose == pose and self.of.get(one.name)]

    def fields(self, pose: int = 0) -> list[Shot]:
        """Return the fields of a pose that have photographs."""
        return [one for one in self.shots if one.kind == "field" and one.pose == pose and self.of.get(one.name)]


@dataclass(frozen=True, slots=True, eq=False)
class SetUp:
    """What is known before the first field is read."""

    files: Files
    view: PanelView
    cells: Cells
    example: Photograph
    """Any frame of the pose that is kept: the layout of its planes."""
    black: Stack | None
    flat: Stack | None
    cautions: tuple[str, ...]
    masked: int
    """Pixels left out as hot, dead or dirty."""


def view_of(files: Files, pose: int) -> tuple[PanelView, Photograph, list[str]]:
    """Find the panel in the dots of a pose, and hold all photographs of them against each other.

    Raises:
        UsageError: no dots, none that can be used, or the camera moved between the first and the last.
    """
    names = files.named("dots", pose)
    if not names:
        where = "" if pose == 0 else f" in pose {pose}"
        raise UsageError(f"no photograph of the dot grid{where}; without it nothing tells where on the panel one looks")
    found: list[tuple[PanelView, Photograph]] = []
    for name in names:
        for photo in files.opened(name):
            pitch = files.panel.pitch_mm
            found.append((panel_found(photo, (files.panel.width_px, files.panel.height_px), pitch), photo))
    first, example = found[0]
    cautions = []
    for view, photo in found[1:]:
        if view.frame_px != first.frame_px:
            raise UsageError(f"{photo.name}: has other pixels than {example.name}; one camera, one setting a shoot")
        moved = moved_px(first, view)
        if moved > MOVED_PX:
            raise UsageError(
                f"{photo.name}: the camera moved by {moved:.1f} panel pixels since {example.name}, and {MOVED_PX:g}"
                " is the most; fix the tripod's feet, use a remote release, and take the shoot again"
            )
        if moved > DOUBTFUL_PX:
            cautions.append(f"the camera moved by {moved:.1f} panel pixels during the shoot")
    if first.mirrored:
        cautions.append("the panel is seen in a mirror; the map is turned back")
    width = float(np.sqrt(abs(np.linalg.det(first.jacobian())))) * first.panel_px[0]
    if width / _columns(first) < FEWEST_CAMERA_PX:
        raise UsageError(
            f"{example.name}: the panel is {width:.0f} camera pixels wide, under {FEWEST_CAMERA_PX:g} for each of"
            f" {_columns(first)} cells; come nearer, or use a camera of more pixels"
        )
    return first, example, cautions[:1] + cautions[1:][-1:]


def _columns(view: PanelView) -> int:
    from panelwear.camera.field_map import cell_edges

    return int(cell_edges(view.panel_px)[0].size - 1)


def moved_px(one: PanelView, other: PanelView) -> float:
    """Return how far the panel's corners lie apart in two views, rms, in panel pixels."""
    apart = one.to_panel(other.corners()) - one.to_panel(one.corners())
    return float(np.sqrt((apart**2).sum(axis=1).mean()))


def set_up(files: Files, light_of: Callable[[float], float], *, wants_flat: bool = True) -> SetUp:
    """Find geometry, response, bad pixels, black and even surface of a shoot.

    Args:
        files: the photographs.
        light_of: light of a drive level as the panel's response has it, for what is not linear.
        wants_flat: whether an even surface is to be used where there is one.
    """
    view, example, cautions = view_of(files, 0)
    files, said = _with_response(files, view, example, light_of)
    cells = cells_seen(view, example)
    surfaces = files.named("even-surface") if wants_flat else []
    cells, masked = _without_bad(files, cells, [*files.named("black"), *surfaces])
    if masked is None:
        cautions.append("neither black nor an even surface tells which camera pixels are hot or dead")
    black = next((stacked(files.opened(name), cells) for name in files.named("black")), None)
    if black is None:
        cautions.append("no photograph of black: room light and glow of the panel are in the maps")
    flat = next((stacked(files.opened(name), cells) for name in surfaces), None)
    if flat is not None and float((flat.saturated > MOST_SATURATED).any(axis=0).mean()) > MOST_SATURATED_CELLS:
        cautions.append("the photograph of an even surface is saturated, and not used")
        flat = None
    return SetUp(files, view, cells, example, black, flat, (*cautions, *said), masked or 0)


def _without_bad(files: Files, cells: Cells, names: Sequence[str]) -> tuple[Cells, int | None]:
    """Leave hot, dead and dirty pixels out; two frames of a shot tell them as well as all."""
    few = [stacked(islice(files.opened(name), 2), cells, keep_pixels=True) for name in names]
    if not few:
        return cells, None
    masks = [bad_pixels(cells, one.pixels, STRAYING) for one in few]
    bad = tuple(np.logical_or.reduce(each) for each in zip(*masks, strict=True))
    inside = [part.index < cells.count for part in cells.planes]
    count = sum(int((one.ravel() & seen).sum()) for one, seen in zip(bad, inside, strict=True))
    return cells.without(bad), count


def _with_response(
    files: Files, view: PanelView, example: Photograph, light_of: Callable[[float], float]
) -> tuple[Files, list[str]]:  # fmt: skip
    """Find from the staircase whether numbers are linear in light, and their curve where they are not."""
    is_raw = len(example.planes) == 4
    stairs = files.named("stairs")
    if is_raw:
        return files, []
    if not stairs:
        if example.for_showing:
            return replace(files, for_showing=True), [
                "JPEG without a staircase: its response is taken for that of sRGB"
            ]
        said = "no staircase tells whether these numbers are linear in light; the maps are for showing alone"
        return replace(files, for_showing=True), [said]
    numbers = stair_numbers([one for name in stairs for one in files.opened(name)], view)
    light = np.array([light_of(code) for code in STAIR_CODES])
    if not example.for_showing and slope(numbers["green"], light) > LINEAR_FROM:
        return files, []
    most = 255 if example.for_showing else 65535
    found = {colour: curve_of(numbers[colour], light, most) for colour in COLOURS}
    curves: Curves = {colour: curve for colour, curve in found.items() if curve is not None}
    if len(curves) < len(COLOURS):
        said = "the staircase does not rise with light in these photographs; their response is taken for that of sRGB"
        return replace(files, for_showing=True), [said]
    said = "numbers are not linear in light: turned into light by the staircase, and for showing alone"
    return replace(files, curves=curves, for_showing=True), [said]
