"""The panel's response: luminance against drive level, grey and per channel, for one geometry."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from groundwork.tables import LOOSE, read
from panelwear.panel.curve import Curve, summed
from patterns.frame import BLACK, Codes
from sequences.model import HUES

MEASURED = "measured-response"
ASSUMED = "assumed-response"


@dataclass(frozen=True, slots=True)
class Geometry:
    """The geometry a response belongs to; another one has its own (brightness limiting, stray light)."""

    name: str
    """The last part of the patch key, such as ``w10``; empty: any."""
    background: Codes = BLACK
    lit_share: float | None = None
    """Share of the area that was lit, 0..1, where known."""

    def holds_for(self, name: str, background: Codes) -> bool:
        """Tell whether a patch of this geometry name and background is covered."""
        return not self.name or (self.name == name and tuple(self.background) == tuple(background))


@dataclass(frozen=True, slots=True)
class Node:
    """One measured point of a curve."""

    hue: str
    code: float
    Y_cd_m2: float
    u_cd_m2: float
    """Standard uncertainty of the mean (repeatability alone)."""
    n: int


@dataclass(frozen=True, slots=True)
class Additivity:
    """Luminance of white against the sum of its primaries, black counted once; 1 when the channels just add."""

    ratio: float
    u: float
    """Standard uncertainty of the ratio (repeatability alone: the meter's scale cancels)."""
    code: float
    """Drive level of all four."""
    additive: bool
    """Whether the ratio is within twice its uncertainty, or 0.5 %, of 1."""
    sentence: str


@dataclass(frozen=True, slots=True)
class Response:
    """Luminance against code for grey, red, green and blue in one geometry."""

    basis: str
    """``measured-response`` or ``assumed-response``."""
    told: str
    """What it is, in words: "sRGB with peak 80 cd/m²", "measured at 18 codes"."""
    geometry: Geometry
    grey: Curve
    red: Curve
    green: Curve
    blue: Curve
    nodes: tuple[Node, ...] = ()
    additivity: Additivity | None = None
    notes: tuple[str, ...] = ()
    """What a person should know: where it is not monotone, clips, or was not measured; each one sentence."""

    def curve(self, hue: str) -> Curve:
        """Return the curve of a hue; mixed hues are sums of their channels."""
        if hue in {"grey", "red", "green", "blue"}:
            return {"grey": self.grey, "red": self.red, "green": self.green, "blue": self.blue}[hue]
        channels = (self.red, self.green, self.blue)
        return summed([c for c, driven in zip(channels, HUES[hue], strict=True) if driven], self.grey.black_cd_m2)

    def luminance(self, hue: str, code: float) -> float:
        """Return the luminance in cd/m² of a hue at a code 0..255 (mixes linear in light)."""
        return self.curve(hue).luminance(code)

    def code_for(self, hue: str, luminance_cd_m2: float) -> float:
        """Return the code of a hue for a luminance in cd/m²: the exact inverse, ends for a level out of reach."""
        return self.curve(hue).code_for(luminance_cd_m2)

    def to_json(self) -> dict[str, Any]:
        """Return it as plain data for ``json``."""
        found = self.additivity
        return {
            "basis": self.basis,
            "told": self.told,
            "geometry": {
                "name": self.geometry.name,
                "background": list(self.geometry.background),
                "lit_share": self.geometry.lit_share,
            },
            "curves_cd_m2": {hue: list(self.curve(hue).cd_m2) for hue in ("grey", "red", "green", "blue")},
            "nodes": [
                {"hue": n.hue, "code": n.code, "Y_cd_m2": n.Y_cd_m2, "u_cd_m2": n.u_cd_m2, "n": n.n} for n in self.nodes
            ],
            "additivity": None
            if found is None
            else {
                "ratio": found.ratio,
                "u": found.u,
                "code": found.code,
                "additive": found.additive,
                "sentence": found.sentence,
            },
            "notes": list(self.notes),
        }


@dataclass(frozen=True, slots=True)
class _Stored:
    """A response as ``Response.to_json`` stores it."""

    basis: Literal["measured-response", "assumed-response"]
    told: str
    geometry: Geometry
    curves_cd_m2: dict[str, tuple[float, ...]] = field(metadata=LOOSE)
    nodes: tuple[Node, ...] = field(metadata=LOOSE)
    additivity: Additivity | None
    notes: tuple[str, ...] = field(metadata=LOOSE)

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say which curves are missing and which are none."""
        for hue in ("grey", "red", "green", "blue"):
            if hue not in self.curves_cd_m2:
                yield f"curves_cd_m2.{hue}", "is missing"
                continue
            try:
                Curve(self.curves_cd_m2[hue])
            except ValueError as error:
                yield f"curves_cd_m2.{hue}", str(error)


def response_from_json(data: Mapping[str, Any]) -> Response:
    """Restore what ``Response.to_json`` gave. Raises ``ValueError`` in one sentence when it is not that."""
    stored = read(_Stored, data, "", _not_stored)
    curves = {hue: Curve(stored.curves_cd_m2[hue]) for hue in ("grey", "red", "green", "blue")}
    return Response(
        basis=stored.basis,
        told=stored.told,
        geometry=stored.geometry,
        nodes=stored.nodes,
        additivity=stored.additivity,
        notes=stored.notes,
        **curves,
    )


def _not_stored(problems: tuple[str, ...]) -> ValueError:
    return ValueError(f"This is not a stored response: {'; '.join(problems)}.")
