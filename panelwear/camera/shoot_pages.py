"""What the screen says between the photographs of a shoot: what to set, which field comes, how the last one stood."""

from __future__ import annotations

from dataclasses import dataclass

from panelwear.camera.shoot_plan import ShootPlan
from panelwear.folder.shoots import ShootRecord, ShotRecord
from panelwear.screen.page import Buttons, Item, Items, Page, Part, Words
from panelwear.telling.words import counted
from sequences.exposure import good_times_s, time_label

SHOW, BEFORE, SKIP, DONE = "show", "before", "skip", "done"
GO_ON, NEW = "go-on", "new"
KEYS = (
    "Return, space, a click, page-down: show the field; once more, when it is taken",
    "left, page-up: the shot before, once more",
    "p: pause, the screen goes dim",
    "h, ? or F1: these keys",
    "Escape: dark at once, and stop; 'panelwear camera shoot' goes on with the shot that is missing",
)
POSE_TOLD = {
    1: "Move the camera along, so that the panel wanders a tenth of the frame to one side, and stays whole in it.",
    2: "Back to where it stood, then up or down by a seventh of the frame, the panel still whole in it.",
    3: "Back to where it stood, then turn the camera upside down about the middle of its picture.",
}
"""Shifts of at least a tenth, unequal, in two directions, and a turn: with fewer, shading of lens and panel cannot be
told apart."""
_KINDS = {
    "title-card": "The title card: its QR code tells panel, checkpoint and shots",
    "dots": "A grid of dots: it tells where in the photograph each pixel of the panel lies",
    "stairs": "A grey staircase: it tells how the camera answers to light",
    "black": "Black: what the camera shows without light, and what light is in the room",
    "even-surface": "A flat, diffuse, evenly lit surface, the size of the frame: how far the lens darkens its corners",
}
_BASIS = {
    "code": "",
    "measured-response": ", by the measured response",
    "assumed-response": ", by the assumed response",
}
FRAME = "all of the panel, with a margin of a twentieth on every side"
POSES_FRAME = "the panel in the middle, as wide as three quarters of it: the other poses need room beside it"
FOOT = (("Return, click", "go on"), ("left", "the shot before"), ("p", "pause"), ("h", "all keys"), ("Escape", "stop"))
_MOST_TIMES = 6


@dataclass(frozen=True, slots=True)
class Noticed:
    """What is known of the shot that was just taken."""

    at: int
    """Which it is, from 0."""
    name: str
    stood_s: float
    fault: str = ""
    """Why it should be taken once more; empty where nothing speaks for it."""

    @property
    def sentence(self) -> str:
        """Say it."""
        return self.fault or f"{self.name} stood for {self.stood_s:.0f} s, unchanged as far as the program can tell."


def level_words(shot: ShotRecord) -> str:
    """Say what a field is: "Grey of 20 cd/m² (drive level 82, by the assumed response)"."""
    lit = [name for name, code in zip(("red", "green", "blue"), shot.codes, strict=True) if code > 0]
    hue = "grey" if len(lit) == 3 else " and ".join(lit)
    level = f"drive level {max(shot.codes):g}"
    if shot.target_cd_m2 is None:
        return f"{hue.capitalize()} at {level}"
    return f"{hue.capitalize()} of {shot.target_cd_m2:g} cd/m² ({level}{_BASIS[shot.level_basis]})"


def shot_words(shot: ShotRecord) -> str:
    """Say what is photographed, and how many frames of it."""
    return f"{_KINDS.get(shot.kind) or level_words(shot)}. {counted(shot.frames, 'frame')}."


def exposure_words(shot: ShotRecord, record: ShootRecord) -> str:
    """Say which exposure to begin with, and which ones last whole refresh periods."""
    if shot.kind == "title-card":
        return "any at which it can be read"
    if shot.exposure_s is None:
        return (
            "until the middle of the surface stands at 50 to 80 % of full scale; of lamps on the mains 1/5 s or longer"
        )
    hz = record.refresh_hz or 60.0
    times = good_times_s(hz)
    near = min(range(len(times)), key=lambda n: abs(times[n] - (shot.exposure_s or 0.0)))
    first = max(0, min(near - 2, len(times) - _MOST_TIMES))
    listed = ", ".join(time_label(one) for one in times[first : first + _MOST_TIMES])
    held = "as of the darkest field" if shot.kind == "black" else "to begin with"
    return f"{time_label(shot.exposure_s)} s {held}. Whole periods at {hz:g} Hz: {listed} s"


def set_words(shot: ShotRecord, record: ShootRecord) -> tuple[Words, ...]:
    """Say what to set at the camera."""
    by_hand = f"f/{record.f_number or 8:g}, ISO {record.iso or 100:g}, focus"
    camera = f"raw on, everything by hand and the same for all shots: {by_hand}"
    focus = "a little off, until the pixel grid just goes"
    level = "its brightest part at 50 to 80 % of full scale in the camera's histogram, else another of these times"
    said = [("Camera", camera), ("Focus", focus), ("Exposure", exposure_words(shot, record))]
    if shot.kind in {"field", "stairs", "dots"}:
        said.append(("Light", level))
    said.append(("Release", "by remote or timer; room dark, nothing between camera and panel"))
    return tuple(Words(text, lead=lead) for lead, text in said)


def before_of(at: int, noticed: Noticed | None) -> int | None:
    """Return which shot is taken once more by going back: the one just taken, else the one before; ``None``: none."""
    if noticed is not None and noticed.at != at:
        return noticed.at
    return at - 1 if at else None


def shot_page(record: ShootRecord, at: int, noticed: Noticed | None) -> Page:
    """Make the page before a shot.

    Args:
        record: Of the shoot.
        at: Which shot comes, from 0.
        noticed: Of the shot before; ``None``: none was taken just now.
    """
    shot = record.shots[at]
    parts: list[Part] = []
    if noticed is not None:
        parts.append(Words(noticed.sentence, "warning" if noticed.fault else "soft"))
    moves = shot.pose and (at == 0 or record.shots[at - 1].pose != shot.pose)
    if moves:
        parts.append(Words(POSE_TOLD.get(shot.pose, "Move the camera to the next pose."), "strong"))
    parts.append(Words(shot_words(shot), "strong"))
    parts += set_words(shot, record)
    surface = shot.kind == "even-surface"
    rows = [Item(SHOW, "It is taken" if surface else f"Show {shot.name}")]
    if surface:
        rows.append(
            Item(SKIP, "I have no such surface", "n", note="the poses, or the same set-up each time, stand in for it")
        )
    before = before_of(at, noticed)
    if before is not None:
        rows.append(Item(BEFORE, f"Once more: {record.shots[before].name}", "o"))
    chosen = BEFORE if noticed is not None and noticed.fault and noticed.at == before else SHOW
    title = f"Photograph {at + 1} of {len(record.shots)}: {shot.name}"
    return Page(title, (*parts, Items(tuple(rows))), chosen, FOOT)


def light_words(plan: ShootPlan) -> str:
    """Say how many photographs there are, about how long it takes, and how much light the panel gives meanwhile."""
    frames = sum(one.frames for one in plan.shots)
    name, seconds = plan.brightest
    bright = f"; the brightest even field, {name}, stands for about {seconds:.0f} s"
    hours = f"{plan.effort.dose_h:.2f} h" if plan.effort.dose_h >= 0.01 else "less than 0.01 h"
    dose = f"light dose as {hours} of 120 cd/m² white"
    return (
        f"{counted(len(plan.shots), 'photograph')}, {counted(frames, 'frame')} in all, about"
        f" {plan.effort.hold_minutes:.0f} min; {dose}{bright}"
    )


def begin_page(plan: ShootPlan, name: str) -> Page:
    """Make the page before the first shot: what comes, how long, how much light.

    Args:
        plan: What is to be photographed.
        name: Of the checkpoint.
    """
    parts: list[Part] = [
        Words(f"{light_words(plan)}.", "strong"),
        Words(
            "square to the panel, on a tripod, 50 mm or longer; its feet's places marked on the floor", lead="Camera"
        ),
        Words(POSES_FRAME if plan.poses else FRAME, lead="Frame"),
        Words(
            "first the geometry, then black, then fields from dark to bright; between them the screen is dim",
            lead="Order",
        ),
    ]
    parts += [Words(note, "warning") for note in plan.notes]
    parts.append(Buttons((Item(SHOW, "Begin"),)))
    return Page(f"Photographing {plan.panel.name}: {name}", tuple(parts), SHOW, FOOT[:1] + FOOT[2:])


def rest_page(record: ShootRecord) -> Page:
    """Make the page that asks whether a shoot that was broken off is gone on with."""
    at = record.missing or 0
    taken = f"{at} of {len(record.shots)} photographs are taken, '{record.shots[at].name}' is next"
    words = (
        f"{record.shoot} was interrupted: {taken}.",
        "Go on only if the camera stands exactly as it stood, with the same focus and aperture.",
    )
    rows = (
        Item(GO_ON, f"Go on with {record.shots[at].name}", "g"),
        Item(NEW, "Begin a new shoot", "n", note="what was taken is kept; its photographs belong to no whole shoot"),
    )
    return Page(
        f"Photographing: {record.shoot}", (*(Words(one) for one in words), Items(rows)), GO_ON, FOOT[:1] + FOOT[2:]
    )


def last_page(record: ShootRecord, noticed: Noticed | None, folder: str) -> Page:
    """Make the page after the last shot."""
    taken = sum(not one.skipped for one in record.shots)
    parts: list[Part] = []
    if noticed is not None:
        parts.append(Words(noticed.sentence, "warning" if noticed.fault else "soft"))
    parts.append(Words(f"All {taken} photographs of {record.shoot} are taken.", "strong"))
    parts.append(
        Words(f"What stood when is stored in {folder}. Next: 'panelwear camera read' with the camera's files.")
    )
    before = before_of(len(record.shots), noticed) or 0
    rows = (Item(DONE, "Done"), Item(BEFORE, f"Once more: {record.shots[before].name}", "o"))
    chosen = BEFORE if noticed is not None and noticed.fault else DONE
    return Page("Photographs are taken", (*parts, Items(rows)), chosen, FOOT)


def keys_page() -> Page:
    """Make the page of keys."""
    return Page("Keys", (Words("\n".join(KEYS)),), keys=(("Return", "back"), ("Escape", "stop")))
