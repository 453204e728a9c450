"""Make a panel folder with commented ``panel.toml`` and ``probe.toml``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from groundwork.documents import parse_toml
from panelwear.atomic import make_folder, write_whole
from panelwear.errors import FileFault, StorageFault
from panelwear.folder.files import quoted, zone_block
from panelwear.readings.records import text_of
from sequences.model import Zone

_PANEL = """\
# The panel under inspection. A person writes this file; the program writes [[zones]] blocks only.
name = {name}
pixels = [{width}, {height}]            # the panel's own pixels
active_area_mm = [{area_w}, {area_h}]     # lit area, width and height in millimetres
refresh_hz = {refresh}
distance_mm = {distance}               # where your eyes are, for visibility and safety
notes = {notes}
checkpoint_every_days = 91    # a quarter; 'panelwear status' says when the next one is due

# What is taken for granted until a response has been measured: kind = "srgb", "bt1886", "power" (with gamma) or
# "table" (codes = [...], cd_m2 = [...]). Every level found with it is marked assumed-response in the CSV.
[response]
kind = "power"
gamma = 2.2
peak_cd_m2 = {peak}
black_cd_m2 = 0.0005

# Zones: named rectangles with a history of their own, in pixels from the top left: [x, y, width, height].
# A later zone lies over an earlier one. reference names the zone it is compared with. Example:
# [[zones]]
# name = "sidebar"
# rect_px = [0, 0, 384, 1080]
# reference = "middle"
"""


_PROBE = """\
# The colorimeter. Flags of a command win over this file; what was used last is remembered in checkpoint.json.
instrument = {instrument}     # a shipped instrument file (panelwear probe list) or a path to your own
link = {link}            # /dev/ttyUSB0, COM3, socket://host:port, rfc2217://..., keyboard, simulated
serial = {serial}
calibrated = ""               # date of the last calibration, such as "2026-01-15"
aperture_mm = {aperture}            # diameter of the measured spot
floor_cd_m2 = {floor}          # darker readings are not trusted; 0 when you do not know
correction = ""               # file with the correction matrix (panelwear probe correct), or empty

# What is known of the probe, as standard uncertainties (relative unless the name says otherwise).
[uncertainty]
calibration_scale = 0.02      # absolute luminance, from the certificate
# What the certificate says of x and y; 0.002 is what a reference laboratory reaches (NIST display colorimeters, k = 1).
# At 0 any meter would claim colour temperature to a few kelvin.
calibration_xy = {calibration_xy}
session_scale = {session_scale}         # how far its scale drifts between months
session_xy = {session_xy}          # the same for x and y
session_filters = {session_filters}       # how far its filters drift against each other between months
# These three are assumed until several evenings have told (panelwear probe stability).
placement = {placement}             # putting it back on the same place, until two placements have told
dark_noise_cd_m2 = {dark_noise}
resolution_cd_m2 = 0.0
"""


@dataclass(frozen=True, slots=True)
class PanelSpec:
    """What a new panel folder is filled with."""

    name: str
    width_px: int
    height_px: int
    active_area_mm: tuple[float, float]
    refresh_hz: float = 60.0
    distance_mm: float = 600.0
    peak_cd_m2: float = 250.0
    notes: str = ""
    zones: tuple[Zone, ...] = ()
    instrument: str = ""
    link: str = ""
    serial: str = ""
    aperture_mm: float = 10.0
    floor_cd_m2: float = 0.0
    session_scale: float = 0.005
    session_xy: float = 0.00025
    session_filters: float = 0.002
    calibration_xy: float = 0.002
    placement: float = 0.001
    dark_noise_cd_m2: float = 0.003


def panel_text(spec: PanelSpec) -> str:
    """Write ``panel.toml``."""
    head = _PANEL.format(
        name=quoted(spec.name),
        width=spec.width_px,
        height=spec.height_px,
        area_w=text_of(spec.active_area_mm[0]),
        area_h=text_of(spec.active_area_mm[1]),
        refresh=text_of(spec.refresh_hz),
        distance=text_of(spec.distance_mm),
        notes=quoted(spec.notes),
        peak=text_of(spec.peak_cd_m2),
    )
    return head + "".join(zone_block(zone) for zone in spec.zones)


def probe_text(spec: PanelSpec) -> str:
    """Write ``probe.toml``."""
    return _PROBE.format(
        instrument=quoted(spec.instrument),
        link=quoted(spec.link),
        serial=quoted(spec.serial),
        aperture=text_of(spec.aperture_mm),
        floor=text_of(spec.floor_cd_m2),
        session_scale=text_of(spec.session_scale),
        session_xy=text_of(spec.session_xy),
        session_filters=text_of(spec.session_filters),
        calibration_xy=text_of(spec.calibration_xy),
        placement=text_of(spec.placement),
        dark_noise=text_of(spec.dark_noise_cd_m2),
    )


def new_panel(directory: Path, spec: PanelSpec) -> Path:
    """Make the folder with files that ``panelwear check`` has nothing against.

    Raises:
        FileFault: the files would have these faults; nothing was made.
        StorageFault: a panel folder is there already (nothing is overwritten), or none can be made.
    """
    if (directory / "panel.toml").exists():
        raise StorageFault(f"{directory}: holds a panel.toml already; nothing was changed")
    panel, probe = _checked(panel_text(spec), probe_text(spec), directory)
    for part in ("checkpoints", "reports"):
        make_folder(directory / part)
    write_whole(directory / "probe.toml", probe)
    write_whole(directory / "panel.toml", panel)
    return directory


def _checked(panel: str, probe: str, directory: Path) -> tuple[bytes, bytes]:
    """Read what is about to be written, as it will be read."""
    from panelwear.upkeep.check import check_panel, check_probe

    problems: list[str] = []
    for file, text, check in (("panel.toml", panel, check_panel), ("probe.toml", probe, check_probe)):
        try:
            text.encode()
            check(parse_toml(text, file, FileFault), directory)
        except UnicodeEncodeError as error:
            problems.append(f"{file}: {error.object[error.start : error.end]!a} is no character; type the text again")
        except FileFault as error:
            problems += error.problems
    if problems:
        raise FileFault(tuple(problems))
    return panel.encode(), probe.encode()
