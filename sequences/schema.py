"""What a sequence file may say: one frozen dataclass a table. ``docs/sequence-file.md`` shows an example of each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from groundwork.tables import called, chosen, limits
from sequences.keys import thousandths
from sequences.model import Hue

Fault = tuple[str, str]
"""Key and sentence, as ``groundwork.tables`` asks for them: what holds between the keys of a table."""

Order = Literal["as-written", "shuffled"]
Topic = Literal["settings", "compensation", "rest", "room", "temperature", "humidity", "adaptation", "note"]
RGB: tuple[Hue, ...] = ("red", "green", "blue")
LEVEL_KEYS = ("codes", "cd_m2", "share_of_peak", "jnd_steps")
_WORD = re.compile(r"[a-z0-9][a-z0-9-]*\Z")
_PLACES = "centre, x100y900 (thousandths of width and height, 0 to 1000) or a zone's name"


def _word_faults(key: str, text: str) -> Iterator[Fault]:
    if not _WORD.match(text):
        yield key, f"'{text}' must be a word of small letters, digits and hyphens"


def _place_faults(key: str, name: str) -> Iterator[Fault]:
    """Say when a place's name can be none: it is a point of the grid, or a word that could be a zone."""
    at = thousandths(name)
    outside = at is not None and max(at) > 1000
    if outside or not name or any(sign in name for sign in '/ "'):
        yield key, f"'{name}' is no place on the panel; allowed: {_PLACES}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Until:
    """Read until a wanted standard uncertainty of the mean luminance is planned to be met."""

    until: float = field(metadata=limits(above=0, high=0.5))
    """Relative, so 0.002 is 0.2 %."""
    until_cd_m2: float | None = field(default=None, metadata=limits(above=0, high=100))
    """Absolute floor of that wish, for dark patches."""
    max: int = field(default=40, metadata=limits(low=1, high=1000))
    n: int = field(default=5, metadata=limits(low=2, high=1000))
    """Readings of the first stage, from which the rest is planned."""

    def faults(self) -> Iterator[Fault]:
        """Say when more readings are taken at first than at most."""
        if self.max < self.n:
            yield "max", f"{self.max} is less than n ({self.n}), the readings of the first stage"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingDefaults:
    """Defaults for every patch that does not say otherwise."""

    settle_s: float = field(default=1.0, metadata=limits(low=0, high=120))
    reads: int | Until = field(default=5, metadata=limits(low=1, high=1000))
    integration_s: float | None = field(default=None, metadata=limits(above=0, high=120))


@dataclass(frozen=True, slots=True, kw_only=True)
class Dark:
    """What patches darker than ``below_cd_m2`` (by a nominal response) get instead."""

    below_cd_m2: float = field(default=2.0, metadata=limits(low=0, high=100))
    settle_s: float = field(default=3.0, metadata=limits(low=0, high=120))
    reads: int | Until = field(default=10, metadata=limits(low=1, high=1000))
    integration_s: float | None = field(default=None, metadata=limits(above=0, high=120))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """The patch read first and last in each visit, and after every ``every`` patches."""

    code: float = field(default=128.0, metadata=limits(low=1, high=255))
    share: float = field(default=0.10, metadata=limits(low=0.0005, high=1))
    """Window at the centre; elsewhere a field of the same code, which the panel's edge cannot cut."""
    every: int = field(default=6, metadata=limits(low=1, high=1000))
    reads: int | Until = field(default=5, metadata=limits(low=1, high=1000))


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """What every patch group may say. At most one of the four kinds of level."""

    place: str = ""
    """``centre``, ``x100y900`` (thousandths of width and height), a zone's name; empty: where the probe sits."""
    hues: tuple[Hue, ...] = ("grey",)
    codes: tuple[float, ...] | None = field(default=None, metadata=limits(low=0, high=255))
    cd_m2: tuple[float, ...] | None = field(default=None, metadata=limits(above=0, high=10000))
    share_of_peak: tuple[float, ...] | None = field(default=None, metadata=limits(above=0, high=1))
    jnd_steps: int | None = field(default=None, metadata=limits(low=2, high=255))
    purpose: str = ""
    settle_s: float | None = field(default=None, metadata=limits(low=0, high=120))
    integration_s: float | None = field(default=None, metadata=limits(above=0, high=120))
    reads: int | Until | None = field(default=None, metadata=limits(low=1, high=1000))
    showings: int = field(default=1, metadata=limits(low=1, high=10))
    """How often each patch is shown, at different times, with its readings shared out among the showings."""
    refine: bool = False
    between_codes: bool = False

    def faults(self) -> Iterator[Fault]:
        """Say what does not go together in a group."""
        stated = [key for key in LEVEL_KEYS if getattr(self, key) is not None]
        if len(stated) > 1:
            yield stated[1], f"stands beside {stated[0]}; one of {', '.join(LEVEL_KEYS)} is allowed"
        if not stated and type(self) not in DEFAULT_CODES:
            yield "", f"has no level; give one of {', '.join(LEVEL_KEYS)}"
        if self.codes is not None and self.refine:
            yield "refine", "has no meaning for codes; it closes in on cd_m2, share_of_peak or jnd_steps"
        if self.showings > 1 and (self.refine or isinstance(self, Loading | Zones)):
            why = "closing in again would find another level" if self.refine else "this group brings its own order"
            yield "showings", f"{self.showings} has no meaning here; {why}"
        if self.place and isinstance(self, Grid | Zones):
            yield "place", "has no meaning here; this group brings its own places"
        elif self.place:
            yield from _place_faults("place", self.place)
        if self.purpose:
            yield from _word_faults("purpose", self.purpose)


@dataclass(frozen=True, slots=True, kw_only=True)
class Field(Group):
    """One colour over the whole screen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window(Group):
    """A rectangle with a share of the screen's area, on a grey background, where the probe sits."""

    share: float = field(default=0.10, metadata=limits(low=0.0005, high=1))
    shape: Literal["screen", "square"] = "screen"
    background: float = field(default=0.0, metadata=limits(low=0, high=255))
    surround_mean_code: float | None = field(default=None, metadata=limits(low=0, high=255))
    """The surround holds the mean linear light of the whole frame at that of this code; absent: no surround."""
    collar_px: int = field(default=0, metadata=limits(low=0, high=2000))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ramp(Window):
    """Steps of one hue, as windows or as fields."""

    shown: Literal["window", "field"] = "window"


@dataclass(frozen=True, slots=True, kw_only=True)
class Primaries(Window):
    """Red, green and blue (or the hues listed), as windows or as fields."""

    hues: tuple[Hue, ...] = RGB
    shown: Literal["window", "field"] = "window"


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseRamp(Window):
    """Luminance against code, from which wanted luminances are turned into codes."""

    hues: tuple[Hue, ...] = ("grey", "red", "green", "blue")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading(Group):
    """One colour in windows of several sizes."""

    shares: tuple[float, ...] = field(
        default=(0.01, 0.02, 0.05, 0.10, 0.25, 0.50, 1.0), metadata=limits(low=0.0005, high=1)
    )
    shape: Literal["screen", "square"] = "screen"
    background: float = field(default=0.0, metadata=limits(low=0, high=255))


@dataclass(frozen=True, slots=True, kw_only=True)
class Checkerboard(Group):
    """Cells of one colour and black; ``b`` swaps them."""

    columns: int = field(default=5, metadata=limits(low=1, high=64))
    rows: int = field(default=5, metadata=limits(low=1, high=64))
    phases: tuple[Literal["a", "b"], ...] = ("a", "b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid(Group):
    """The same field read at several points of the panel, one visit each."""

    points: Literal[5, 9, 13, 25] = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Zones(Group):
    """Each zone of panel.toml against its reference, as visits zone, reference, reference, zone."""

    names: tuple[str, ...] | None = None
    """Which zones; all that have a reference when absent."""
    placements: int | None = field(default=None, metadata=limits(low=1, high=100))
    """Only the zones that can be read with so many placements, in the order of panel.toml."""
    nested: bool = False
    """Read the zones of one reference as Z1 Z2 R R Z2 Z1: fewer placements, longer between the two visits of a zone."""
    narrow: Literal["strip", "field", "skip"] = "strip"
    """What is done with a zone narrower than 1.5 times the probe's aperture."""

    def faults(self) -> Iterator[Fault]:
        """Say which of the names cannot be a zone's."""
        yield from super(Zones, self).faults()
        for name in self.names or ():
            if not name or any(sign in name for sign in '/ "'):
                yield "names", f"'{name}' cannot be a zone; a name has no spaces, slashes or quotes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern(Group):
    """Any other pattern, to be looked at or photographed (never read)."""

    pattern: Literal["smooth-ramp", "stair", "pixel-checker", "geometry", "near-black", "near-white"] = "smooth-ramp"


READ_GROUPS: dict[str, type[Group]] = {
    "field": Field,
    "window": Window,
    "ramp": Ramp,
    "primaries": Primaries,
    "checkerboard": Checkerboard,
    "grid": Grid,
    "zones": Zones,
    "loading": Loading,
    "response": ResponseRamp,
}
HOLD_GROUPS: dict[str, type[Group]] = {
    "field": Field,
    "window": Window,
    "ramp": Ramp,
    "primaries": Primaries,
    "checkerboard": Checkerboard,
    "pattern": Pattern,
}
DEFAULT_CODES: dict[type[Group], tuple[float, ...]] = {
    Primaries: (255.0,),
    Loading: (255.0,),
    Checkerboard: (255.0,),
    Pattern: (255.0,),
    Grid: (128.0,),
    ResponseRamp: (0, 8, 16, 24, 32, 48, 64, 96, 128, 160, 192, 224, 255),
}
"""Levels of the groups that need not state any."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskStep:
    """Ask the person for the session's facts."""

    topics: tuple[Topic, ...] = ("settings", "compensation", "rest", "room", "temperature", "humidity")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceStep:
    """Put the probe at a place: a visit begins."""

    at: str = "centre"

    def faults(self) -> Iterator[Fault]:
        """Say when the name can be no place's."""
        return _place_faults("at", self.at)


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUpStep:
    """Warm the panel up, at least ``minutes``, until it is steady, at most ``max_minutes``."""

    minutes: float = field(default=20.0, metadata=limits(low=0, high=600))
    max_minutes: float = field(default=60.0, metadata=limits(low=0, high=600))
    read: bool = True
    """Read the reference patch meanwhile, to see that the panel has settled."""

    def faults(self) -> Iterator[Fault]:
        """Say when the longest is shorter than the shortest."""
        if self.max_minutes < self.minutes:
            yield "max_minutes", f"{self.max_minutes:g} is less than minutes ({self.minutes:g})"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomStep:
    """Read the room's light on the black screen, then the probe's own floor."""

    reads: int | Until = field(default=10, metadata=limits(low=1, high=1000))
    settle_s: float = field(default=3.0, metadata=limits(low=0, high=120))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadStep:
    """Read patches, place by place."""

    patches: tuple[Group, ...] = chosen("group", READ_GROUPS)
    order: Order | None = None

    def faults(self) -> Iterator[Fault]:
        """Say where a checkerboard, which may be held so, cannot be read: the probe would lie across cells."""
        for number, group in enumerate(self.patches, start=1):
            if not isinstance(group, Checkerboard) or group.place not in {"", "centre"}:
                continue
            for key, count in (("columns", group.columns), ("rows", group.rows)):
                if count % 2 == 0:
                    sentence = f"{count} puts the probe on the line between cells; an odd number puts it in one"
                    yield f"patches[{number}].{key}", sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldStep:
    """Hold patches for the eye or for a camera."""

    patches: tuple[Group, ...] = chosen("group", HOLD_GROUPS)
    photo: bool = True
    """Name a photograph for each."""
    title_card: bool = True
    """Show the title card first."""
    seconds: float | None = field(default=None, metadata=limits(above=0, high=3600))
    """Absent: until a key."""

    def faults(self) -> Iterator[Fault]:
        """Say where a patch that is only looked at would be shown again."""
        for number, group in enumerate(self.patches, start=1):
            if group.showings > 1:
                yield (
                    f"patches[{number}].showings",
                    f"{group.showings} has no meaning here; a hold shows each patch once",
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShootStep:
    """Photograph the panel by a shooting list."""

    list_name: str = field(default="usual", metadata=called("list"))
    """Name of a shipped list, or a file."""
    poses: bool = False
    """Three more poses of the camera."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseLookStep:
    """Go dark gently and say what was recorded."""


StepSpec = AskStep | PlaceStep | WarmUpStep | RoomStep | ReadStep | HoldStep | ShootStep | CloseLookStep

STEP_KINDS: dict[str, type] = {
    "ask": AskStep,
    "place": PlaceStep,
    "warm-up": WarmUpStep,
    "room": RoomStep,
    "read": ReadStep,
    "hold": HoldStep,
    "shoot": ShootStep,
    "close-look": CloseLookStep,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """A whole sequence file."""

    name: str
    description: str
    order: Order = "as-written"
    reading: ReadingDefaults = ReadingDefaults()
    dark: Dark = Dark()
    reference: Reference | None = None
    steps: tuple[StepSpec, ...] = chosen("kind", STEP_KINDS)

    def faults(self) -> Iterator[Fault]:
        """Say when the file does not say what it is."""
        yield from _word_faults("name", self.name)
        if not self.description.strip():
            yield "description", "is empty; say in one sentence what the sequence is for"
