"""What a run learns from its own rows: the panel's response and the probe's noise, each a pure function of the rows."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from panelwear.readings.table import from_rows
from panelwear.run.messages import Keep, Message, Tell
from panelwear.run.state import RunState
from sequences.keys import PatchKey
from sequences.model import Read

if TYPE_CHECKING:
    from panelwear.panel.noise import NoiseModel
    from panelwear.panel.response import Response
    from panelwear.readings.row import Row

_TELL_NOISE = ("response", "black")
"""Purposes of the patches at the start of a session that show how the probe scatters."""


def learn(state: RunState) -> Generator[Message, Any, None]:
    """Fit response and noise to the rows read so far, when rows came that were not in the last fit.

    Called before a level is turned into codes, so a resumed run learns the same from the same rows.
    """
    rows = [row for row in state.rows if row.purpose == "response"]
    if len(rows) == state.learned_rows:
        return
    state.learned_rows = len(rows)
    state.noise = noise_of(state.rows)
    if state.noise is not None:
        yield Keep("noise", asdict(state.noise))
    kept: dict[str, Any] = {}
    for geometry in dict.fromkeys(PatchKey.parse(row.patch).geometry for row in rows):
        try:
            response = _fitted([row for row in rows if row.patch.endswith(f"/{geometry}")], geometry)
        except ValueError as error:
            yield Tell(f"response in {geometry}: {error} The assumed response is used instead.")
            continue
        state.resolver.learn(response)
        kept[geometry] = response.to_json()
        yield from _say(response, geometry)
    if kept:
        yield Keep("response", kept)
        yield from _say_reach(state)


def _fitted(rows: list[Row], geometry: str) -> Response:
    from panelwear.panel.measured import fit_response

    red, green, blue = (float(word) for word in rows[0].background.split())
    return fit_response(from_rows(rows), geometry, (red, green, blue))


def _say(response: Response, geometry: str) -> Generator[Message, Any, None]:
    grey = response.grey
    yield Tell(f"response in {geometry}: {grey.black_cd_m2:.4g} to {grey.peak_cd_m2:.4g} cd/m², {response.told}")
    if response.additivity is not None:
        yield Tell(response.additivity.sentence)
    for note in response.notes:
        yield Tell(note)


def _say_reach(state: RunState) -> Generator[Message, Any, None]:
    """Say which levels still to come the panel turned out not to reach, before any of them is shown."""
    from panelwear.panel.resolve import check_reach

    patches = [step.patch for step in state.steps if isinstance(step, Read) and step.patch.level.basis != "code"]
    for sentence in check_reach(patches, state.resolver):
        yield Tell(sentence)


def noise_of(rows: list[Row]) -> NoiseModel | None:
    """Fit the probe's noise to the repeats at the start of a session; ``None`` while they say too little."""
    import numpy as np

    from panelwear.panel.noise import fit_noise

    groups: dict[tuple[int, str], list[float]] = {}
    for row in rows:
        if row.purpose in _TELL_NOISE and row.Y_cd_m2 is not None and row.flags == "ok":
            groups.setdefault((row.step, row.patch), []).append(row.Y_cd_m2)
    repeated = [np.asarray(values) for values in groups.values() if len(values) > 1]
    try:
        return fit_noise([Y.mean() for Y in repeated], [Y.std(ddof=1) for Y in repeated], [len(Y) for Y in repeated])
    except ValueError:
        return None
