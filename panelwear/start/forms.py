"""The forms of the start screen: a new panel, what an evening's command has to know, a rehearsal."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import replace

from panelwear.screen.monitors import Monitor
from panelwear.start.facts import Choice, PanelFacts, World, diagonal_inch
from panelwear.start.form import Field, Form, number, plain
from panelwear.start.state import Run, ShowWay

NONE, OTHER = "none", "other"
LINKS = (
    Choice("simulated", "simulated", "an invented meter on an invented panel, to try everything out; measures nothing"),
    Choice("keyboard", "typed in", "you type what a hand-held meter shows"),
)
NO_LINKS = (
    Choice(OTHER, "another address", "typed below, such as socket://HOST:PORT"),
    Choice(NONE, "no probe", "nothing is read: for eye and camera alone"),
)
OTHER_FILE = Choice(OTHER, "another file", "typed below: a sequence of your own")
SAME_SIZE = 0.05
"""A stated diagonal farther than this share from what the monitor tells is questioned."""


def slug(name: str) -> str:
    """Make a folder's name of a panel's."""
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters).strip("-") or "panel"


def monitor_choices(monitors: tuple[Monitor, ...]) -> tuple[Choice, ...]:
    """Return the monitors that are connected, as choices."""
    return tuple(
        Choice(
            str(one.number),
            f"{one.number}: {one.name or 'name not told'}, {one.width_px} x {one.height_px}",
            _size_note(one),
        )
        for one in monitors
    )


def _size_note(one: Monitor) -> str:
    scaled = "; its desktop is scaled: set 100 % before measuring" if one.scaled else ""
    told = "does not tell its size" if one.size_mm is None else f"tells {one.size_mm[0]:g} x {one.size_mm[1]:g} mm"
    return told + scaled


def new_panel_form(world: World) -> Form:
    """Make the form for a new panel, filled in from the first monitor."""
    first = world.monitors[0]
    return Form(
        title="New panel",
        words="Size and pixels come from the monitor; check them, the program cannot measure them.",
        fields=(
            Field("name", "What you call it", needed=True, note="such as: desk left"),
            Field("monitor", "Monitor", value=str(first.number), choices=monitor_choices(world.monitors)),
            _diagonal(first, diagonal_inch(first)),
            Field("folder", "Folder it goes to", needed=True, note="made by the program; readings are kept here"),
        ),
        done="Make the panel",
        wish=lambda values: _new_panel(world, values),
        follow=lambda form, changed: _new_panel_follows(world, form, changed),
    )


def _diagonal(monitor: Monitor, value: str) -> Field:
    told = diagonal_inch(monitor)

    def check(text: str) -> str:
        fault = number(3, 300, "inch")(text)
        if not fault and told and abs(float(plain(text)) / float(told) - 1) > SAME_SIZE:
            return ""  # said in the note: the person may know better than the monitor
        return fault

    note = f"the monitor itself tells {told} inch" if told else "as its maker states it; the monitor does not tell"
    return Field("diagonal", "Diagonal in inch", value=value, needed=True, check=check, note=note)


def _new_panel_follows(world: World, form: Form, changed: str) -> Form:
    name, folder = form.field("name"), form.field("folder")
    if changed == "name" and name is not None and folder is not None and not folder.typed:
        path = f"{world.home}/{slug(name.value)}" if name.value.strip() else ""
        return form.filled("folder", replace(folder, value=path))
    if changed == "monitor":
        monitor = _monitor(world, form.values["monitor"])
        return form.filled("diagonal", _diagonal(monitor, diagonal_inch(monitor)))
    return form


def _monitor(world: World, number_text: str) -> Monitor:
    return next(one for one in world.monitors if str(one.number) == number_text)


def _new_panel(world: World, values: Mapping[str, str]) -> Run:
    monitor = _monitor(world, values["monitor"])
    folder = values["folder"]
    words = (
        "new",
        folder if folder.startswith("/") else f"./{folder}" if folder.startswith("-") else folder,
        f"--name={values['name']}",
        f"--pixels={monitor.width_px}x{monitor.height_px}",
        f"--diagonal-inch={plain(values['diagonal'])}",
    )
    return Run(words, "New panel", on_screen=False, folder=folder)


def _screen_field(panel: PanelFacts, world: World) -> tuple[Field, ...]:
    """Ask for the monitor where there are several; the one with the panel's own pixels comes first."""
    if len(world.monitors) < 2:
        return ()
    size = (panel.width_px, panel.height_px)
    fits = [one for one in world.monitors if (one.width_px, one.height_px) == size] or list(world.monitors)
    return (Field("screen", "Monitor", value=str(fits[0].number), choices=monitor_choices(world.monitors)),)


def _hours_fields(panel: PanelFacts) -> tuple[Field, ...]:
    if panel.open_name:
        said = f"nothing typed: {panel.hours}, the checkpoint {panel.open_name} is gone on with"
    else:
        said = (
            f"it had {panel.hours} last time"
            if panel.hours
            else "hours the panel was on, as its menu tells or you know"
        )
    return (
        Field("hours", "Hours of use now", needed=not panel.open_name, check=number(0, 999_999, "h"), note=said),
        Field("cycles", "Compensation cycles", check=number(0, 1e6, "", whole=True),
              note="where the panel counts them; nothing typed: not known"),
    )  # fmt: skip


def _probe_fields(panel: PanelFacts, world: World) -> tuple[Field, ...]:
    known = {one.value for one in (*world.links, *LINKS)}
    address = panel.link if panel.link and panel.link not in known else ""
    link = OTHER if address else panel.link
    links = (*world.links, *LINKS, *NO_LINKS)
    instruments = world.instruments
    if panel.instrument and panel.instrument not in {one.value for one in instruments}:
        instruments = (*instruments, Choice(panel.instrument, panel.instrument, "named in probe.toml"))
    first = panel.instrument or (instruments[0].value if instruments else "")
    return (
        Field(
            "link", "Probe", value=link, choices=links, needed=True, note="Return lists what there is to choose from"
        ),
        Field("address", "Its address", value=address, note="only where the probe is at another address"),
        Field("instrument", "How it is spoken to", value=first, choices=instruments),
    )


def _warm_up_field() -> Field:
    note = "nothing typed: as long as the sequence wants; a shorter one flags every reading"
    return Field("warm_up", "Warm-up in minutes", check=number(0, 600, "min"), note=note)


def measuring_form(panel: PanelFacts, world: World, command: str) -> Form:
    """Make the form before ``spot`` or ``inspect``."""
    known = (*panel.sequences, *world.sequences, OTHER_FILE)
    sequence = (
        Field("sequence", "Sequence", value="checkpoint", choices=known),
        Field("sequence_file", "Its file", note="only where the sequence lies in a file elsewhere"),
    )
    title = {"spot": "Spot", "inspect": "Inspection"}[command]
    return Form(
        title=f"{title}: {panel.title}",
        fields=(
            *_hours_fields(panel),
            *(sequence if command == "inspect" else ()),
            *_probe_fields(panel, world),
            _warm_up_field(),
            *_screen_field(panel, world),
        ),
        done="Begin",
        wish=lambda values: _begun(_measuring(panel, command, title, values), values),
        also=(("dry", "Show the steps first", lambda values: _dry(panel, command, title, values)),),
        follow=_named_elsewhere,
    )


def _named_elsewhere(form: Form, changed: str) -> Form:
    """Ask for what 'another' stands for."""
    below = form.field({"link": "address", "sequence": "sequence_file", "list": "list_file"}.get(changed, ""))
    return form if below is None else form.filled(below.id, replace(below, needed=form.values[changed] == OTHER))


def _begun(run: Run, values: Mapping[str, str]) -> Run | ShowWay:
    """Begin at once where the probe is put down once; before a whole sequence its way is shown."""
    if run.words[0] != "inspect":
        return run
    link = values.get("link", "")
    probe = "" if link == NONE else values["address"] if link == OTHER else link
    instrument = values.get("instrument", "") if probe and link != "keyboard" else ""
    return ShowWay(run, _sequence(values), instrument, probe, without_probe=link == NONE)


def _sequence(values: Mapping[str, str]) -> str:
    name = values.get("sequence", "")
    return values.get("sequence_file", "") if name == OTHER else name


def _measuring(panel: PanelFacts, command: str, title: str, values: Mapping[str, str]) -> Run:
    words = (command, panel.folder, *_options(values))
    return Run(words, f"{title}: {panel.title}", on_screen=True, folder=panel.folder)


def _dry(panel: PanelFacts, command: str, title: str, values: Mapping[str, str]) -> Run:
    words = (command, panel.folder, *_options(values), "--dry-run")
    return Run(words, f"{title}, step by step: {panel.title}", on_screen=False, folder=panel.folder)


def _options(values: Mapping[str, str]) -> tuple[str, ...]:
    """Return the values of a form as options of the command line; what is empty is left out."""
    link = values.get("link", "")
    given = {
        "--hours": plain(values.get("hours", "")),
        "--cycles": str(int(float(plain(values["cycles"])))) if values.get("cycles") else "",
        "--sequence": _sequence(values),
        "--list": values.get("list_file", "") if values.get("list") == OTHER else values.get("list", ""),
        "--adapt": plain(values.get("adapt", "")),
        "--warm-up": plain(values.get("warm_up", "")),
        "--instrument": values.get("instrument", "") if link not in {"", NONE, "keyboard"} else "",
        "--probe": {OTHER: values.get("address", ""), NONE: ""}.get(link, link),
        "--screen": values.get("screen", ""),
    }
    options = tuple(f"{name}={value}" for name, value in given.items() if value)
    poses = ("--poses",) if values.get("poses") == "yes" else ()
    return (*options, *poses, *(("--no-probe",) if link == NONE else ()))


def look_form(panel: PanelFacts, world: World) -> Form:
    """Make the form before the by-eye check."""
    adapt = Field("adapt", "Minutes in the dark first", check=number(0, 120, "min"),
                  note="nothing typed: 5; from 20 on the near-black fields come first")  # fmt: skip
    return Form(
        title=f"By-eye check: {panel.title}",
        words="No instrument is needed. It comes before any bright patch of the evening.",
        fields=(*_hours_fields(panel), adapt, *_screen_field(panel, world)),
        done="Begin",
        wish=lambda values: Run(
            ("look", panel.folder, *_options(values)), f"By-eye check: {panel.title}", on_screen=True,
            folder=panel.folder,
        ),
    )  # fmt: skip


def shoot_form(panel: PanelFacts, world: World) -> Form:
    """Make the form before the panel is photographed."""
    lists = (
        Choice("usual", "usual", "greys, red, green and blue: about a quarter of an hour"),
        Choice("short", "short", "one grey, five minutes; cannot tell which colour has worn"),
        replace(OTHER_FILE, note="typed below: a shooting list of your own"),
    )
    poses = (
        Choice("no", "one place", "an even surface, or the same set-up as last time, tells the lens's own shading"),
        Choice(
            "yes", "three more", "the camera is moved twice and turned once: parts the lens's shading from the panel"
        ),
    )
    title = f"Photograph the panel: {panel.title}"
    return Form(
        title=title,
        words="A camera on a tripod, raw files, a dark room. It says before each photograph what to set.",
        fields=(
            *_hours_fields(panel),
            Field("list", "Shooting list", value="usual", choices=lists),
            Field("list_file", "Its file", note="only where the list lies in a file elsewhere"),
            Field("poses", "Places of the camera", value="no", choices=poses),
            *_screen_field(panel, world),
        ),
        done="Begin",
        wish=lambda values: Run(
            ("camera", "shoot", panel.folder, *_options(values)), title, on_screen=True, folder=panel.folder
        ),
        follow=_named_elsewhere,
    )


def resume_form(panel: PanelFacts, world: World) -> Form:
    """Make the form before an interrupted session is gone on with."""
    return Form(
        title=f"Go on: {panel.title}",
        words=f"'{panel.unfinished}' of {panel.open_name} was interrupted. It goes on from the unfinished visit.",
        fields=(_warm_up_field(), *_screen_field(panel, world)),
        done="Go on",
        wish=lambda values: Run(
            ("resume", panel.folder, *_options(values)), f"Go on: {panel.title}", on_screen=True, folder=panel.folder
        ),
    )


def rehearsal_form(world: World) -> Form:
    """Make the form of a rehearsal: where to, and how long."""
    lengths = (
        Choice("quick", "three checkpoints", "about a minute"),
        Choice("whole", "six checkpoints", "about two minutes"),
    )
    return Form(
        title="Rehearsal",
        words="The whole job on an invented panel and an invented probe; nothing is shown on the screen meanwhile.",
        fields=(
            Field("folder", "Folder it goes to", value=f"{world.home}/rehearsal", needed=True, typed=True,
                  note="a rehearsal that is there already is replaced, anything else is left alone"),
            Field("length", "How long", value="quick", choices=lengths),
        ),
        done="Rehearse",
        wish=_rehearsal,
    )  # fmt: skip


def _rehearsal(values: Mapping[str, str]) -> Run:
    quick = ("--quick",) if values["length"] == "quick" else ()
    words = ("rehearse", f"--out={values['folder']}", *quick)
    return Run(words, "Rehearsal", on_screen=False, folder=f"{values['folder']}/harbour-desk")
