"""The forms of the start screen: a new panel, what an evening's command has to know, a rehearsal."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import replace

from panelwear.folder.hours import check_hours
from panelwear.screen.answers import number_check
from panelwear.screen.form import Form
from panelwear.screen.monitors import Monitor
from panelwear.screen.operator import Question
from panelwear.start.facts import Choice, PanelFacts, World, diagonal_inch
from panelwear.start.form import Button, FormView, asked_anew, choice_question, form_view
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
"""A stated diagonal farther than this share from what the monitor tells has a caution."""
MOST_OFF = 5.0
"""Share beyond which it is no size that somebody means, but one that is being typed."""


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


def new_panel_form(world: World) -> FormView:
    """Make the form for a new panel, filled in from the first monitor."""
    first = world.monitors[0]
    return form_view(
        "New panel",
        (
            Question("name", "such as: desk left", label="What you call it", needed=True),
            choice_question("monitor", "Monitor", monitor_choices(world.monitors), str(first.number)),
            _diagonal(first),
            Question("folder", "made by the program; readings are kept here", label="Folder it goes to", needed=True),
        ),
        Button("Make the panel", lambda values: _new_panel(world, values)),
        words="Size and pixels come from the monitor; check them, the program cannot measure them.",
        follow=lambda form, changed: _new_panel_follows(world, form, changed),
    )


def _diagonal(monitor: Monitor) -> Question:
    told = diagonal_inch(monitor)
    return Question("diagonal", _diagonal_note(told, told), told, unit="inch", check=number_check(3, 300, "inch"),
                    label="Diagonal", before=told, needed=True)  # fmt: skip


def _diagonal_note(told: str, stated: str) -> str:
    """Say what the monitor tells of its size, with a caution where something else is stated: a person may know better.

    Args:
        told: diagonal in inch as the monitor tells it; empty where it does not.
        stated: what is typed.
    """
    if not told:
        return "as its maker states it; the monitor does not tell"
    try:
        off = float(told) / float(stated.replace(",", ".")) - 1.0
    except (ValueError, ZeroDivisionError):
        return f"the monitor tells {told} inch"
    if not SAME_SIZE < abs(off) < MOST_OFF:
        return f"the monitor tells {told} inch"
    return f"caution: the monitor tells {told} inch, {abs(off):.0%} {'less' if off < 0 else 'more'}".replace("%", " %")


def _new_panel_follows(world: World, form: Form, changed: str) -> Form:
    monitor = _monitor(world, form.answers["monitor"])
    folder, diagonal = form.field("folder"), form.field("diagonal")
    if changed == "name" and folder is not None and not folder.typed:
        name = form.answers["name"].strip()
        return form.put(replace(folder, text=f"{world.home}/{slug(name)}" if name else "", fault=""))
    if changed == "monitor" and diagonal is not None:
        told = _diagonal(monitor)
        return form.put(replace(diagonal, question=told, text=told.default, fault="", typed=False))
    if changed == "diagonal":
        note = _diagonal_note(diagonal_inch(monitor), form.answers["diagonal"])
        return asked_anew(form, "diagonal", text=note)
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
        f"--diagonal-inch={values['diagonal']}",
    )
    return Run(words, "New panel", on_screen=False, folder=folder)


def _screen_question(panel: PanelFacts, world: World) -> tuple[Question, ...]:
    """Ask for the monitor where there are several; the one with the panel's own pixels comes first."""
    if len(world.monitors) < 2:
        return ()
    size = (panel.width_px, panel.height_px)
    fits = [one for one in world.monitors if (one.width_px, one.height_px) == size] or list(world.monitors)
    return (choice_question("screen", "Monitor", monitor_choices(world.monitors), str(fits[0].number)),)


def _hours_questions(panel: PanelFacts) -> tuple[Question, ...]:
    if panel.open_name:
        said = f"nothing typed: {panel.hours}, the checkpoint {panel.open_name} is gone on with"
    else:
        said = (
            f"it had {panel.hours} last time; a range such as 2100-2500 is taken too"
            if panel.hours
            else "as its menu tells; else such as '3600 counted', or a range: 2100-2500"
        )
    cycles = number_check(0, 1e6, whole=True)
    counted = "where the panel counts them; nothing typed: not known"
    return (
        Question("hours", said, unit="h", check=check_hours, label="Hours of use now", needed=not panel.open_name),
        Question("cycles", counted, check=cycles, label="Compensation cycles"),
    )


def _probe_questions(panel: PanelFacts, world: World) -> tuple[Question, ...]:
    known = {one.value for one in (*world.links, *LINKS)}
    address = panel.link if panel.link and panel.link not in known else ""
    link = OTHER if address else panel.link
    links = (*world.links, *LINKS, *NO_LINKS)
    instruments = world.instruments
    if panel.instrument and panel.instrument not in {one.value for one in instruments}:
        instruments = (*instruments, Choice(panel.instrument, panel.instrument, "named in probe.toml"))
    first = panel.instrument or (instruments[0].value if instruments else "")
    return (
        choice_question("link", "Probe", links, link, text="Return lists what there is to choose from", needed=True),
        Question("address", "only where the probe is at another address", address, label="Its address",
                 before=address, needed=link == OTHER),
        choice_question("instrument", "How it is spoken to", instruments, first),
    )  # fmt: skip


def _warm_up_question() -> Question:
    note = "nothing typed: as long as the sequence wants; a shorter one flags every reading"
    return Question("warm_up", note, unit="min", check=number_check(0, 600, "min"), label="Warm-up")


def measuring_form(panel: PanelFacts, world: World, command: str) -> FormView:
    """Make the form before ``spot`` or ``inspect``."""
    known = (*panel.sequences, *world.sequences, OTHER_FILE)
    sequence = (
        choice_question("sequence", "Sequence", known, "checkpoint"),
        Question("sequence_file", "only where the sequence lies in a file elsewhere", label="Its file"),
    )
    title = {"spot": "Spot", "inspect": "Inspection"}[command]
    return form_view(
        f"{title}: {panel.title}",
        (
            *_hours_questions(panel),
            *(sequence if command == "inspect" else ()),
            *_probe_questions(panel, world),
            _warm_up_question(),
            *_screen_question(panel, world),
        ),
        Button("Begin", lambda values: _begun(_on_screen(panel, command, title, values), values)),
        also={"dry": Button("Show the steps first", lambda values: _dry(panel, command, title, values))},
        follow=_named_elsewhere,
    )


def _named_elsewhere(form: Form, changed: str) -> Form:
    """Ask for what 'another' stands for."""
    below = {"link": "address", "sequence": "sequence_file", "list": "list_file"}.get(changed)
    return form if below is None else asked_anew(form, below, needed=form.answers[changed] == OTHER)


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


def _on_screen(panel: PanelFacts, command: str, title: str, values: Mapping[str, str]) -> Run:
    words = (*command.split(), panel.folder, *_options(values))
    return Run(words, f"{title}: {panel.title}", on_screen=True, folder=panel.folder)


def _dry(panel: PanelFacts, command: str, title: str, values: Mapping[str, str]) -> Run:
    words = (command, panel.folder, *_options(values), "--dry-run")
    return Run(words, f"{title}, step by step: {panel.title}", on_screen=False, folder=panel.folder)


def _options(values: Mapping[str, str]) -> tuple[str, ...]:
    """Return the values of a form as options of the command line; what is empty is left out."""
    link = values.get("link", "")
    given = {
        "--hours": values.get("hours", ""),
        "--cycles": values.get("cycles", ""),
        "--sequence": _sequence(values),
        "--list": values.get("list_file", "") if values.get("list") == OTHER else values.get("list", ""),
        "--adapt": values.get("adapt", ""),
        "--warm-up": values.get("warm_up", ""),
        "--instrument": values.get("instrument", "") if link not in {"", NONE, "keyboard"} else "",
        "--probe": {OTHER: values.get("address", ""), NONE: ""}.get(link, link),
        "--screen": values.get("screen", ""),
    }
    options = tuple(f"{name}={value}" for name, value in given.items() if value)
    poses = ("--poses",) if values.get("poses") == "yes" else ()
    return (*options, *poses, *(("--no-probe",) if link == NONE else ()))


def look_form(panel: PanelFacts, world: World) -> FormView:
    """Make the form before the by-eye check."""
    note = "nothing typed: 5; from 20 on the near-black fields come first"
    adapt = Question("adapt", note, unit="min", check=number_check(0, 120, "min"), label="In the dark first")
    return form_view(
        f"By-eye check: {panel.title}",
        (*_hours_questions(panel), adapt, *_screen_question(panel, world)),
        Button("Begin", lambda values: _on_screen(panel, "look", "By-eye check", values)),
        words="No instrument is needed. It comes before any bright patch of the evening.",
    )


def shoot_form(panel: PanelFacts, world: World) -> FormView:
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
    return form_view(
        f"Photograph the panel: {panel.title}",
        (
            *_hours_questions(panel),
            choice_question("list", "Shooting list", lists, "usual"),
            Question("list_file", "only where the list lies in a file elsewhere", label="Its file"),
            choice_question("poses", "Places of the camera", poses, "no"),
            *_screen_question(panel, world),
        ),
        Button("Begin", lambda values: _on_screen(panel, "camera shoot", "Photograph the panel", values)),
        words="A camera on a tripod, raw files, a dark room. It says before each photograph what to set.",
        follow=_named_elsewhere,
    )


def resume_form(panel: PanelFacts, world: World) -> FormView:
    """Make the form before an interrupted session is gone on with."""
    return form_view(
        f"Go on: {panel.title}",
        (_warm_up_question(), *_screen_question(panel, world)),
        Button("Go on", lambda values: _on_screen(panel, "resume", "Go on", values)),
        words=f"'{panel.unfinished}' of {panel.open_name} was interrupted. It goes on from the unfinished visit.",
    )


def export_form(panel: PanelFacts, world: World) -> FormView:
    """Make the form that exports every checkpoint of a panel: as what."""
    every = Choice(",".join(one.value for one in world.exports), "all of them")
    choices = (every, *world.exports) if len(world.exports) > 1 else world.exports
    title, where = f"Export: {panel.title}", "into the folder 'exports' of the panel folder."
    return form_view(
        title,
        (choice_question("format", "As what", choices, choices[0].value),),
        Button("Write the files", lambda values: _export(panel, title, values)),
        words=f"Every checkpoint with readings, {where} {world.no_exports}".strip(),
    )


def _export(panel: PanelFacts, title: str, values: Mapping[str, str]) -> Run:
    words = ("export", panel.folder, f"--format={values['format']}")
    return Run(words, title, on_screen=False, folder=panel.folder)


def rehearsal_form(world: World) -> FormView:
    """Make the form of a rehearsal: where to, and how long."""
    lengths = (
        Choice("quick", "three checkpoints", "about a minute"),
        Choice("whole", "six checkpoints", "about two minutes"),
    )
    folder, kept = (
        f"{world.home}/rehearsal",
        "a rehearsal that is there already is replaced, anything else is left alone",
    )
    return form_view(
        "Rehearsal",
        (
            Question("folder", kept, folder, label="Folder it goes to", before=folder, needed=True),
            choice_question("length", "How long", lengths, "quick"),
        ),
        Button("Rehearse", _rehearsal),
        words="The whole job on an invented panel and an invented probe; nothing is shown on the screen meanwhile.",
    )


def _rehearsal(values: Mapping[str, str]) -> Run:
    quick = ("--quick",) if values["length"] == "quick" else ()
    words = ("rehearse", f"--out={values['folder']}", *quick)
    return Run(words, "Rehearsal", on_screen=False, folder=f"{values['folder']}/harbour-desk")
