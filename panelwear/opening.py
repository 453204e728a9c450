"""Open everything a run needs, in the right order, and let it all go again: lock, screen, probe, person."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from panelwear.clock import RealClock
from panelwear.engine.contract import Bench
from panelwear.errors import ScreenFault, UsageError
from panelwear.folder.atomic import write_whole
from panelwear.folder.panel import Panel
from panelwear.folder.probe_settings import ProbeSettings
from panelwear.operator import Operator, Question, Unattended
from panelwear.screen.contract import Screen
from probe_io.reading import Probe, ProbeIdentity


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the command line says about screen and probe."""

    screen: int | None = None
    allow_scaled: bool = False
    borderless: bool = False
    unattended: bool = False


def settings_with(settings: ProbeSettings, instrument: str | None, link: str | None) -> ProbeSettings:
    """Let flags win over ``probe.toml``."""
    return replace(settings, instrument=instrument or settings.instrument, link=link or settings.link)


def new_seed() -> int:
    """Draw the seed of a sitting; it is recorded with it."""
    return secrets.randbelow(2**31)


@contextmanager
def open_visible(panel: Panel, wishes: Wishes) -> Iterator[tuple[Screen, Operator]]:
    """Open the screen on the panel under inspection; ``ScreenFault`` when it is another size or not exact."""
    from panelwear.screen.person import ScreenOperator
    from panelwear.screen.window import open_screen

    screen = open_screen(
        wishes.screen,
        clock=RealClock(),
        allow_scaled=wishes.allow_scaled,
        borderless=wishes.borderless,
        distance_mm=panel.distance_mm,
        active_area_mm=panel.active_area_mm,
        peak_cd_m2=panel.peak_cd_m2,
    )
    try:
        found = (screen.facts.width_px, screen.facts.height_px)
        if found != (panel.width_px, panel.height_px) and not wishes.allow_scaled:
            raise ScreenFault(
                f"panel.toml: pixels: says {panel.width_px} x {panel.height_px}, screen {screen.facts.number} has "
                f"{found[0]} x {found[1]}; choose the monitor with --screen N ('panelwear screens' lists them)"
            )
        person = ScreenOperator(screen)
        yield screen, Unattended(person) if wishes.unattended else person
    finally:
        screen.close()


@contextmanager
def opened_probe(
    panel: Panel, settings: ProbeSettings, operator: Operator
) -> Iterator[tuple[Probe | None, ProbeIdentity | None]]:
    """Open the probe of ``settings``; without a link there is none, and the sequence is shown for eye and camera."""
    if not settings.link:
        yield None, None
        return
    from panelwear.probe_border import probe_errors
    from probe_io.open import open_probe

    if settings.link != "keyboard" and not settings.instrument:
        raise UsageError("--probe needs --instrument NAME|FILE too; 'panelwear probe list' names the shipped ones")
    own = panel.directory / settings.instrument
    instrument = str(own) if settings.instrument and own.is_file() else settings.instrument

    def typed(text: str) -> str:
        return operator.ask(Question("reading", text))

    with probe_errors():
        probe = open_probe(settings.link, instrument or None, ask=typed)
        identity = probe.open()
    try:
        yield probe, identity
    finally:
        probe.close()


def remember_probe(directory: Path, settings: ProbeSettings) -> None:
    """Fill empty ``instrument`` and ``link`` lines of ``probe.toml`` in; what a person wrote there stays."""
    path = directory / "probe.toml"
    if not path.exists():
        return
    text = path.read_text(encoding="utf-8")
    filled = text
    for key, value in (("instrument", settings.instrument), ("link", settings.link)):
        if value and '"' not in value and "\\" not in value:
            filled = re.sub(rf'(?m)^{key} = ""', f'{key} = "{value}"', filled)
    if filled != text:
        write_whole(path, filled.encode())


def bench_of(screen: Screen, operator: Operator, probe: Probe | None) -> Bench:
    """Put the effects together."""
    return Bench(screen, RealClock(), operator, probe)
