"""What limits the maps of one shoot, each with the fields it limits."""

from __future__ import annotations

from collections.abc import Iterable

from panelwear.camera.field_map import FieldMap
from panelwear.telling.words import enumerated

ALL = "all fields"


def cautions_of(maps: Iterable[tuple[str, FieldMap]]) -> tuple[tuple[str, str], ...]:
    """Return each caution once, behind the fields it is told of.

    Args:
        maps: of one shoot, each with what its field is called.
    """
    listed = [*maps]
    fields: dict[str, dict[str, None]] = {}
    for name, one in listed:
        for caution in one.cautions:
            fields.setdefault(caution, {})[name] = None
    names = {name for name, _ in listed}
    return tuple(
        (ALL if len(names) > 1 and found.keys() == names else enumerated([*found]), caution)
        for caution, found in fields.items()
    )
