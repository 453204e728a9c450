"""What a sequence expands to: numbered steps, plain data, the same for the same file, panel and seed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from patterns.frame import Codes, Rect
from sequences.keys import PatchKey

Hue = Literal["grey", "red", "green", "blue", "cyan", "magenta", "yellow"]
HUES: dict[str, tuple[int, int, int]] = {
    "grey": (1, 1, 1),
    "red": (1, 0, 0),
    "green": (0, 1, 0),
    "blue": (0, 0, 1),
    "cyan": (0, 1, 1),
    "magenta": (1, 0, 1),
    "yellow": (1, 1, 0),
}
"""Which channels a hue drives. White is grey at code 255."""

GAMMA = 2.2
"""Of the nominal response."""

LevelBasis = Literal["code", "cd_m2", "share_of_peak", "jnd"]


@dataclass(frozen=True, slots=True)
class Zone:
    """A named rectangle of the panel with its own history."""

    name: str
    rect: Rect
    probe_at_px: tuple[float, float]
    """Where the probe is put for this zone (centre of the rectangle unless panel.toml says otherwise)."""
    reference: str = ""
    """Name of the zone it is compared with; empty for the reference itself."""


@dataclass(frozen=True, slots=True)
class PanelFacts:
    """What a sequence must know of the panel to be expanded."""

    width_px: int
    height_px: int
    active_area_mm: tuple[float, float]
    distance_mm: float = 600.0
    zones: tuple[Zone, ...] = ()
    refresh_hz: float = 60.0
    aperture_mm: float | None = None
    """Diameter the probe sees; ``None``: not known, no zone counts as narrow."""
    peak_cd_m2: float = 250.0
    """White at code 255, as far as known: for estimates of time and light dose only."""
    gamma: float = GAMMA
    """Response the panel is meant to follow, as far as one number says it."""
    known_cd_m2: tuple[tuple[str, float], ...] = ()
    """Luminance by patch key from the last checkpoint: loading windows then go from dim to bright."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where the probe sits."""

    name: str
    """``centre``, ``x100y900`` (thousandths of width and height), or a zone's name."""
    at_px: tuple[float, float]
    """Centre of the probe in pixels."""


@dataclass(frozen=True, slots=True)
class Level:
    """A wanted level; still to be resolved to drive levels unless ``basis`` is ``code``."""

    basis: LevelBasis
    value: float
    """Drive level 0..255, cd/m², share of peak 0..1, or (``jnd``) the step number from 1 of ``of_steps``."""
    of_steps: int = 0
    """For ``jnd``: how many equal GSDF steps there are from black to peak, both ends counted as levels."""

    @property
    def label(self) -> str:
        """As it stands in a patch key: ``c128``, ``Y50``, ``p25`` (per cent of peak), ``j03of18``."""
        number = f"{self.value:g}"
        if self.basis == "code":
            return f"c{number}"
        if self.basis == "cd_m2":
            return f"Y{number}"
        if self.basis == "share_of_peak":
            return f"p{self.value * 100:g}"
        return f"j{int(self.value):02d}of{self.of_steps}"


@dataclass(frozen=True, slots=True)
class Reads:
    """How many readings a patch gets."""

    n: int = 5
    """The fixed number, or the first stage when ``until`` is set."""
    until: float | None = None
    """Wanted relative standard uncertainty of the mean luminance; ``None``: exactly ``n`` readings."""
    until_cd_m2: float | None = None
    """The absolute floor of that wish: dark patches stop at this standard uncertainty."""
    max: int = 40


@dataclass(frozen=True, slots=True)
class Patch:
    """One colour shown to be read. Its key is the same at every checkpoint."""

    group: str
    place: Place
    hue: Hue
    level: Level
    geometry: str
    """The key's last part: ``full``, ``w10`` (window of 10 % of the area), ``strip``, ``check8x6a`` …"""
    purpose: str
    """``reference``, ``white``, ``black``, ``ramp``, ``primary``, ``loading``, ``grid``, ``zone``,
    ``checkerboard``, ``response``, …"""
    pattern: str
    """Name in the pattern registry."""
    parameters: tuple[tuple[str, object], ...] = ()
    """Parameters of the pattern other than the colour and the background; sorted by name."""
    background: Codes = (0.0, 0.0, 0.0)
    settle_s: float = 1.0
    integration_s: float | None = None
    reads: Reads = Reads()
    """Of one showing."""
    showings: int = 1
    """How often it is shown in its visit, at different times."""
    refine: bool = False
    """Close in on a wanted luminance with up to three trial readings first."""
    between_codes: bool = False
    """Allow a spatial mix between two codes to meet the level."""

    @property
    def key(self) -> str:
        """``group/place/hue/level/geometry``."""
        return str(PatchKey(self.group, self.place.name, self.hue, self.level.label, self.geometry))


@dataclass(frozen=True, slots=True)
class AskFacts:
    """Ask the person for the session's facts (``topics``: keys the application knows)."""

    number: int
    topics: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WarmUp:
    """Show the moving warm-up pattern, at least ``minutes``, until steady, at most ``max_minutes``."""

    number: int
    minutes: float
    max_minutes: float
    mean_code: float
    """Code of the moving grey that has the sequence's mean light."""
    patch: Patch | None = None
    """What is read to see that the panel has settled; ``None``: time alone."""


@dataclass(frozen=True, slots=True)
class Room:
    """Read the room's light with the screen black, then the probe's own floor with the probe covered."""

    number: int
    patch: Patch


@dataclass(frozen=True, slots=True)
class PutProbe:
    """Show the probe target at a place and wait until the person has put the probe there: a visit begins."""

    number: int
    visit: int
    place: Place
    lift_first: bool = True
    """The probe is lifted even when it sat at the same place (between the two R of Z R R Z)."""


@dataclass(frozen=True, slots=True)
class Read:
    """Show a patch and read it."""

    number: int
    visit: int
    patch: Patch
    pair: str = ""
    """Names the quadruple Z R R Z a zone reading belongs to, with its position: ``clock-badge.1`` to ``.4``."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Hold a patch for the eye or a camera until a key, or for some seconds."""

    number: int
    patch: Patch
    photo: str = ""
    """Name of the photograph to be taken; empty when it is for the eye only."""
    seconds: float | None = None
    title_card: bool = False
    """Show the title card (panel, hours, date, field name) instead of the patch."""


@dataclass(frozen=True, slots=True)
class PlannedShot:
    """One picture of a shooting list, one or more frames of it."""

    name: str
    """Unique in its shoot and fit for a file name."""
    kind: str
    """``dots``, ``stairs``, ``black``, ``field`` or ``even-surface``."""
    frames: int
    hue: Hue
    level: Level
    nominal_cd_m2: float
    """Light of grey at its drive levels on the nominal panel, for order and estimates."""
    pose: int = 0
    """0 is the place the camera keeps from checkpoint to checkpoint."""

    @property
    def pattern(self) -> str:
        """Name in the pattern registry."""
        return {"dots": "dot-grid", "stairs": "grey-stairs"}.get(self.kind, "field")


@dataclass(frozen=True, slots=True)
class Shoot:
    """Photograph the panel by a shooting list."""

    number: int
    list_name: str
    """Name of a shipped list, or a file."""
    poses: bool
    shots: tuple[PlannedShot, ...] = ()
    """For estimates: what is shown follows from the panel's response at that moment."""
    shot_s: tuple[float, ...] = ()
    """About how long each stands."""


@dataclass(frozen=True, slots=True)
class CloseLook:
    """The end: go dark gently, say what was recorded."""

    number: int


Step = AskFacts | WarmUp | Room | PutProbe | Read | Hold | Shoot | CloseLook
