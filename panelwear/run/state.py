"""What a run knows while it goes: the fixed facts, and what folds out of the rows stored so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from panelwear.folder.checkpoint import Checkpoint
from panelwear.folder.evening import Given
from panelwear.folder.panel import Panel, ProbeSettings
from panelwear.panel.noise import NoiseModel
from panelwear.panel.resolve import Resolved, Resolver
from panelwear.readings.corrections import replaced_by
from panelwear.readings.row import Row
from panelwear.run.messages import Line
from panelwear.run.pages import stored_words
from panelwear.screen.contract import Card
from patterns import build
from patterns.frame import Codes, Frame
from probe_io.reading import ProbeIdentity
from sequences.model import Patch, Place, Step


@dataclass(slots=True)
class RunState:
    """State of one session. Everything that changes is a function of the rows and the stored answers."""

    panel: Panel
    checkpoint: Checkpoint
    probe_settings: ProbeSettings
    steps: tuple[Step, ...]
    resolver: Resolver
    width_px: int
    height_px: int
    session: int
    has_probe: bool
    probe: str = ""
    """Name, serial number and link of the probe, as it stands on the screen."""
    last_answers: dict[str, str] = field(default_factory=dict)
    """Answers of earlier checkpoints: the defaults."""
    given: Given = field(default_factory=Given)
    """Answers of this evening, of earlier sessions of this checkpoint."""
    guided: bool = False
    """How the probe is put on was shown this evening."""
    route: tuple[str, ...] = ()
    """All places of the session, in the order the probe first comes there."""
    scaled: bool = False
    off_screen: bool = False
    """Nobody sees the screen (rehearsal)."""
    unattended: bool = False
    """Nobody is there to answer (``--yes``): waits for keys end by themselves."""
    warm_up_minutes: float | None = None
    """Wanted instead of the sequence's minutes."""
    rows: list[Row] = field(default_factory=list)
    """Rows of this session, in order; without those a later one replaces."""
    place: Place | None = None
    visit: int = 0
    not_settled: bool = False
    """The warm-up ended without a steady panel; every reading says so."""
    where: str = ""
    """Where the run stands: "visit 3 of 12, patch 41 of 210, about 34 min left"."""
    overlay: Card | None = None
    """The operator's overlay of this moment, shown while a patch settles."""
    count: str = ""
    """Which of how many readings of the patch is taken: "reading 2 of 5"; empty outside a patch."""
    so_far_cd_m2: float | None = None
    """Mean luminance of the patch's readings so far."""
    noise: NoiseModel | None = None
    """How the probe scatters, once enough rows say so."""
    learned_rows: int = 0
    """How many response rows the last fit rests on."""
    settle_s: float = 0.0
    """Settling time after a change as measured on this panel; 0 until then."""
    resettle: bool = False
    """Something else was on the screen since the patch settled (a pause, a prompt): it settles anew first."""
    meter: ProbeIdentity | None = None
    """Who is read with now."""
    other_meter: bool = False
    """It is another than the session, or ``probe.toml``, names, and the person goes on with it."""
    unsteady: bool = False
    """The meter was away: the panel is watched until it is steady before the next counted reading."""
    unseen: str = ""
    """Why what stands on the screen cannot be compared, once that was said."""
    unproved: bool = False
    """An answer was missing: a known patch is read before anything is believed."""
    line: Line = ""
    """What a known patch told of the meter's line; the probe hears of it with the next reading."""
    every_step: tuple[Step, ...] = ()
    """All steps of the session, those before an interruption too."""
    paused_s: float = 0.0
    """How long the run was paused in all."""
    stored: int = 0
    """Rows of this session that are stored."""
    replacing: tuple[int, ...] = ()
    """Rows that the next good reading of the step replaces."""
    corrected: dict[int, Row] = field(default_factory=dict)
    """By the number of a row that was replaced, the row that took its place."""
    short_warm_up: bool = False
    """The next warm-up only watches until the panel is steady: it stayed lit."""
    light_scale: float = 1.0
    """What the person said is so, over what responses of earlier sessions say: another brightness."""
    accepted: set[str] = field(default_factory=set)
    """Patches of a visit whose unexpected light the person said is truly so."""
    unsure_visit: int = -1
    """The visit in which the probe was not found and the person went on."""
    locate: bool = False
    """Find the probe with the screen after each placement."""
    earlier_placements: tuple[dict[str, Any], ...] = ()
    """Placements found in earlier sessions, oldest first."""
    facts: dict[str, Any] = field(default_factory=dict)
    """What steps found and kept: response, noise model, settling time."""

    def remember(self, row: Row) -> None:
        """Fold one stored row into the state; the same for a new row and for one replayed on resume."""
        self.stored += 1
        if gone := set(replaced_by(row.flags)):
            self.rows = [one for one in self.rows if one.row not in gone]
            self.corrected.update(dict.fromkeys(gone, row))
        self.rows.append(row)
        self.visit = max(self.visit, row.visit)

    def newest(self, row: Row) -> Row:
        """Return the row that stands in the place of one, itself where none does."""
        while row.row in self.corrected:
            row = self.corrected[row.row]
        return row

    @property
    def safe(self) -> str:
        """What of this session is stored, in a sentence."""
        return stored_words(self.stored, self.checkpoint.name)

    @property
    def typed(self) -> bool:
        """Whether readings are typed in."""
        return self.meter is not None and self.meter.link == "keyboard"

    @property
    def meter_told(self) -> dict[str, str]:
        """Model and serial number of the meter, as a record holds them."""
        return {} if self.meter is None else {"model": self.meter.model, "serial": self.meter.serial}

    def take_meter(self, identity: ProbeIdentity) -> None:
        """Go on with another meter."""
        self.meter, self.other_meter = identity, True

    def frame_of(self, patch: Patch, codes: Codes) -> Frame:
        """Build a patch's frame for this screen."""
        return build(
            patch.pattern,
            self.width_px,
            self.height_px,
            codes=codes,
            background=patch.background,
            **dict(patch.parameters),
        )

    def resolve(self, patch: Patch) -> Resolved:
        """Find a patch's drive levels."""
        return self.resolver.resolve(patch)
