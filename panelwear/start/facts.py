"""What the start screen knows: panels with their standing, and what is connected or shipped to choose from."""

from __future__ import annotations

from dataclasses import dataclass

from panelwear.screen.monitors import Monitor

MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that may be picked for a field of a form."""

    value: str
    label: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class PanelFacts:
    """One panel folder as the start screen tells it."""

    folder: str
    name: str = ""
    """As ``panel.toml`` has it; empty where it cannot be read."""
    width_px: int = 0
    height_px: int = 0
    hours: str = ""
    """Of the last checkpoint, with its unit: ``1460 h``; empty before the first."""
    last: str = ""
    """The last checkpoint: ``2026-02-03: spot, closed``; empty before the first."""
    open_name: str = ""
    """Name of the checkpoint that is open; empty: none."""
    unfinished: str = ""
    """Sequence that was interrupted and can be gone on with; empty: none."""
    unfinished_shoot: str = ""
    """Photographs that were interrupted, in words; empty: none."""
    photos: str = ""
    """Folder of the newest checkpoint's photographs, within the panel's; empty: none lie there."""
    maps: int = 0
    """How many checkpoints have maps made of photographs."""
    doing: str = ""
    """What comes next, in ``panelwear.upkeep.status``'s word; ``gone`` and ``unread``: there is no panel to read."""
    next_step: str = ""
    """What comes next, in a sentence."""
    checkpoints: int = 0
    closed: int = 0
    """Checkpoints that are closed."""
    readings: int = 0
    instrument: str = ""
    """Of ``probe.toml``, or of the last session that had a probe."""
    link: str = ""
    """Of ``probe.toml``, or of the last session that had a probe."""
    sequences: tuple[Choice, ...] = ()
    """A person's own, in the panel folder."""
    zones: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    """Of its checkpoints, oldest first."""
    usage_told: bool = False
    """Whether it was told already what the panel shows."""

    @property
    def title(self) -> str:
        """What the panel is called, or its folder."""
        return self.name or self.folder

    @property
    def readable(self) -> bool:
        """Whether there is a panel to work with."""
        return self.doing not in {"gone", "unread"}


@dataclass(frozen=True, slots=True)
class World:
    """Everything the start screen has looked up."""

    panels: tuple[PanelFacts, ...] = ()
    """The one opened last comes first."""
    monitors: tuple[Monitor, ...] = ()
    links: tuple[Choice, ...] = ()
    """Serial ports that are there."""
    instruments: tuple[Choice, ...] = ()
    sequences: tuple[Choice, ...] = ()
    exports: tuple[Choice, ...] = ()
    """Kinds of files a checkpoint can be exported as here."""
    no_exports: str = ""
    """Which kinds cannot be written here, and what to install for them; empty: none."""
    home: str = ""
    """Folder in which new panel folders are made unless another is typed."""
    person: str = ""
    """The person's own folder: what lies in it is told as ``~/…``."""
    remarks: tuple[str, ...] = ()
    """What could not be looked up."""
    ready: bool = True
    """False until all of it has been looked up."""

    def panel(self, folder: str) -> PanelFacts:
        """Find a panel by its folder; one that is not known has nothing but its folder."""
        return next((one for one in self.panels if one.folder == folder), PanelFacts(folder, doing="unread"))


@dataclass(frozen=True, slots=True)
class Listing:
    """What lies in a folder of the disk."""

    path: str
    parent: str = ""
    """Empty at the top."""
    folders: tuple[tuple[str, str, bool], ...] = ()
    """Name, path, and whether it is a panel folder."""
    is_panel: bool = False
    fault: str = ""


def diagonal_inch(monitor: Monitor) -> str:
    """Return a monitor's diagonal as it tells its own size, such as ``27.0``; empty where it does not."""
    if monitor.size_mm is None:
        return ""
    width, height = monitor.size_mm
    return f"{(width**2 + height**2) ** 0.5 / MM_PER_INCH:.1f}"
