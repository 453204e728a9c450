"""What is shown of the maps of a panel: for each field, every checkpoint in one row at one gain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from panelwear.camera.field_map import FieldMap
from panelwear.camera.showing.tone import GAIN, Shown, own_mean, shown
from panelwear.camera.wear.findings import MapEnd
from panelwear.camera.wear.pairing import field_words, objection
from sequences.model import HUES


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One field at all checkpoints that have it, at one gain."""

    key: str
    """For file names: ``grey-20cd-x1``."""
    hue: str
    field: str
    gain: float
    quantity: str
    """What is shown: ``own mean``, or ``first map``: what changed since the first photographs."""
    frames: tuple[tuple[str, Shown], ...]
    """Hours and date, and the map, oldest first."""
    simulated: bool

    @property
    def gain_words(self) -> str:
        """What is printed in the picture."""
        if self.gain == 1:
            return "as it is (× 1)"
        what = "change since the first photographs, " if self.quantity == "first map" else ""
        return f"{what}exaggerated × {self.gain:g} about its mean"

    @property
    def title(self) -> str:
        """Field and gain."""
        return f"{self.field[0].upper()}{self.field[1:]}, {self.gain_words}"

    @property
    def about(self) -> str:
        """What the grey stands for."""
        invented = "Simulated photographs. " if self.simulated else ""
        if self.quantity == "own mean":
            return f"{invented}Light of each cell over the mean of its picture; mid grey is the mean."
        return f"{invented}Light of each cell over that of the first photographs, about the mean; mid grey is the mean."


def views_of(ends: Sequence[MapEnd], gain: float = GAIN) -> tuple[View, ...]:
    """Return the views of a panel's maps, greys first, each field as it is and exaggerated.

    A map that does not pair with the first of its field is left out of the row.

    Args:
        ends: checkpoints with maps, oldest first.
        gain: by how much light is exaggerated, alike in all months and fields.
    """
    names = {one.shot.name: one.shot for end in ends for one in end.maps if one.shot.pose == 0}
    hues = list(HUES)
    order = sorted(names.values(), key=lambda shot: (hues.index(shot.channel), max(shot.codes)))
    found = []
    for shot in order:
        row = [(_head(end), one) for end in ends for one in end.maps if one.shot.name == shot.name]
        row = [(head, one) for head, one in row if not objection(row[0][1], one)]
        if not row:
            continue
        found.append(_view(row, 1, "own mean"))
        # With the lens still in it, a map as it is can be shown; exaggerated, it would show the lens.
        if row[0][1].shading != "same-set-up":
            found.append(_view(row, gain, "own mean"))
        if len(row) > 1:
            found.append(_view(row, gain, "first map"))
    return tuple(found)


def telling(views: Sequence[View]) -> tuple[View, ...]:
    """Return of each hue the view that tells most: what changed on its brightest field, exaggerated."""
    found = {}
    for view in views:
        if view.gain != 1 and (view.quantity == "first map" or len(view.frames) == 1):
            found[view.hue] = view  # fields go from dark to bright
    return tuple(found.values())


def brightest(views: Sequence[View]) -> tuple[View, ...]:
    """Return the views of the brightest field of each hue."""
    field = {view.hue: view.field for view in views}
    return tuple(view for view in views if view.field == field[view.hue])


def _head(end: MapEnd) -> str:
    return f"{end.end.use.words}, {end.end.date}".rstrip(", ")


def _view(row: Sequence[tuple[str, FieldMap]], gain: float, quantity: str) -> View:
    first = row[0][1]
    frames = []
    for head, one in row:
        relative = own_mean(one)
        if quantity == "first map":
            ratio = (1 + relative) / (1 + own_mean(first))
            relative = ratio / np.nanmean(ratio) - 1
        frames.append((head, shown(relative, gain)))
    return View(
        key=f"{first.shot.name}-{'change-' if quantity == 'first map' else ''}x{gain:g}",
        hue=first.shot.channel,
        field=field_words(first.shot),
        gain=gain,
        quantity=quantity,
        frames=tuple(frames),
        simulated=any(one.simulated for _, one in row),
    )
