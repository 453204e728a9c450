"""What a shoot will be: each shot with its drive levels, and what it costs in time and light. No effects."""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Any, cast

from panelwear import __version__
from panelwear.errors import UsageError
from panelwear.folder.panel import Panel
from panelwear.folder.shoots import FORMAT, ShootRecord, ShotRecord
from panelwear.panel.resolve import Resolver
from patterns import build
from patterns.frame import Frame
from sequences import shoots
from sequences.estimate import Effort, plan
from sequences.geometry import FULL
from sequences.model import PanelFacts, Patch, PlannedShot
from sequences.nominal import luminance_cd_m2
from sequences.places import centre
from sequences.shoot_schema import ShootList

TITLE_CARD = ShotRecord("title-card", "title-card", 1)


@dataclass(frozen=True, slots=True)
class ShootPlan:
    """A shooting list on a panel, before anything is shown."""

    panel: Panel
    list_name: str
    source: bytes
    wanted: ShootList
    poses: bool
    shots: tuple[ShotRecord, ...]
    """In their order, the title card first."""
    notes: tuple[str, ...]
    """What this panel makes the program leave out or show otherwise."""
    effort: Effort
    brightest: tuple[str, float]
    """The brightest even field, and about how long it stands, in seconds."""

    def record(self, name: str, started_utc: str, screen: dict[str, object]) -> ShootRecord:
        """Return the record of a shoot that begins by it."""
        return ShootRecord(
            format=FORMAT,
            shoot=name,
            list_name=self.list_name,
            list_sha256=sha256(self.source).hexdigest(),
            status="running",
            seed=0,
            started_utc=started_utc,
            shots=self.shots,
            poses=self.poses,
            f_number=self.wanted.f_number,
            iso=self.wanted.iso,
            refresh_hz=self.panel.refresh_hz,
            screen=screen,
            software=f"panelwear {__version__}",
            panel=self.panel.directory.resolve().name,
        )


def is_known(panel: Panel, resolver: Resolver) -> bool:
    """Tell whether anything is known of a panel's response: measured, or stated in its file."""
    return resolver.has_measured or bool(panel.assumed_response)


def plan_shoot(
    panel: Panel, resolver: Resolver, list_name: str, source: bytes, wanted: ShootList, *, poses: bool
) -> ShootPlan:
    """Find drive levels and exposures of every shot.

    Args:
        panel: The panel.
        resolver: Its response, as far as it is known.
        list_name: As the person named it.
        source: The list's bytes.
        wanted: The list.
        poses: Photograph in the other poses too.

    Raises:
        UsageError: the panel reaches none of the list's fields.
    """
    facts, known = panel.facts(), is_known(panel, resolver)
    facts = replace(facts, peak_cd_m2=panel.peak_cd_m2)
    step = shoots.as_step(wanted.name, wanted, facts, known=known, poses=poses)
    notes = []
    if not known and any(shot.level.basis == "code" for shot in step.shots):
        notes.append(
            "Nothing is known of this panel's response: fields stand at drive levels. 'panelwear spot' or [response] "
            "in panel.toml tells it."
        )
    shots = [TITLE_CARD]
    for shot in step.shots:
        made, fault = _resolved(shot, panel, resolver, facts, wanted)
        if made is not None:
            shots.append(made)
        elif fault not in notes:
            notes.append(fault)
    shown = {one.name for one in shots}
    lasting = zip(step.shots, step.shot_s, strict=True)
    fields = [
        (luminance_cd_m2(shot.level, shot.hue, facts), shot.name, shot_s)
        for shot, shot_s in lasting
        if shot.kind == "field" and shot.name in shown
    ]
    if not fields:
        raise UsageError(f"{wanted.name}: no field of it is within this panel's reach; give drive levels (codes)")
    _, name, lasts_s = max(fields)
    effort = plan((step,), facts)
    return ShootPlan(panel, list_name, source, wanted, poses, tuple(shots), tuple(notes), effort, (name, lasts_s))


def _resolved(
    shot: PlannedShot, panel: Panel, resolver: Resolver, facts: PanelFacts, wanted: ShootList
) -> tuple[ShotRecord | None, str]:
    """Return a shot as it will be shown; else why it is left out."""
    patch = Patch("shoot", centre(facts), shot.hue, shot.level, FULL.label, "photograph", FULL.pattern)
    resolved = resolver.resolve(patch)
    if resolved.out_of_reach:
        what = f"{shot.hue} of {shot.level.value:g} cd/m²"
        return None, f"{what.capitalize()} is out of this panel's reach, as far as that is known; it is left out."
    response, _ = resolver.response_for(patch)
    light = response.luminance("grey", max(resolved.codes)) if shot.kind == "field" else None
    return ShotRecord(
        name=shot.name,
        kind=cast(Any, shot.kind),
        frames=shot.frames,
        codes=resolved.codes,
        level_basis=cast(Any, resolved.level_basis),
        target_cd_m2=resolved.target_cd_m2,
        exposure_s=shoots.exposure_s(shot, wanted, facts, light),
        pose=shot.pose,
    ), ""


def frame_of(shot: ShotRecord, size_px: tuple[int, int]) -> Frame:
    """Build what stands on the screen for a shot other than the title card; black for an even surface."""
    pattern = {"dots": "dot-grid", "stairs": "grey-stairs"}.get(shot.kind, "field")
    return build(pattern, *size_px, codes=shot.codes)
