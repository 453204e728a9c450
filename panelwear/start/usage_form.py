"""The form for what a panel shows: hours a day, brightness, and what stands in each zone."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from panelwear.screen.operator import Question
from panelwear.start.facts import PanelFacts, World
from panelwear.start.form import Button, FormView, form_view
from panelwear.start.state import Run
from panelwear.usage.kinds import KINDS
from panelwear.usage.records import ALWAYS
from panelwear.usage.typed import READERS, content_of, since_check

TITLE = "What the panel shows"
WHOLE = "shows"
"""Key of the row for the whole panel; the row of a zone has the zone's name behind it."""
WORDS = (
    "Rough numbers do; a range such as 7-9 is better than a guess. What is left empty stays as it was told before. "
    f"What a zone shows is written such as 'white 90 %, dark 10 %': {', '.join(KINDS)}; the rest is black."
)
FILES = (
    Question(
        "screenshots", "pictures of the whole desktop that you collected; none is kept", label="Folder of screenshots"
    ),
    Question("table", "a CSV of your own, in the place of all the above (docs/usage.md)", label="Or a table"),
)
PLAIN = ("since", "until", "hours_a_day", "days_a_week", "white_cd_m2")


def usage_questions(zones: Sequence[str], checkpoints: Sequence[str], *, told: bool) -> tuple[Question, ...]:
    """Return what is asked.

    Args:
        zones: names of the panel's zones.
        checkpoints: names of its checkpoints, oldest first.
        told: whether something is kept already.
    """
    since = (checkpoints[-1] if checkpoints else "") if told else ALWAYS
    dates = f"a day such as 2026-02-03, a checkpoint's name, or '{ALWAYS}'"
    return (
        Question("since", dates, since, check=lambda text: since_check(text, checkpoints), label="Since when",
                 before=since, needed=True),
        Question("until", "nothing typed: until now", check=lambda text: since_check(text, checkpoints, always=False),
                 label="Until"),
        _plain("hours_a_day", "Hours a day in use", "h", "on a day of use: 8, or 7-9"),
        _plain("days_a_week", "Days a week", "", "5, or 5-7; nothing typed: every day"),
        _plain("white_cd_m2", "Luminance of white", "cd/m²", "of the desktop; nothing typed: the peak"),
        Question(WHOLE, "where no zone below tells more", check=_shows, label="The whole panel shows"),
        *(Question(f"{WHOLE}:{zone}", f"what {zone} shows, such as 'white 90 %, dark 10 %'", check=_shows,
                   label=f"{zone} shows") for zone in zones),
    )  # fmt: skip


def _plain(key: str, label: str, unit: str, text: str) -> Question:
    return Question(key, text, unit=unit, check=_checked(READERS[key]), label=label)


def _checked(read: Callable[[str], object]) -> Callable[[str], str]:
    def check(text: str) -> str:
        if text.strip():
            read(text)
        return text.strip()

    return check


def _shows(text: str) -> str:
    if text.strip():
        content_of(text)
    return text.strip()


def texts_of(answers: Mapping[str, str]) -> tuple[dict[str, str], list[str]]:
    """Return the plain answers, and what zones show as the command line takes it."""
    plain = {key: answers[key] for key in PLAIN if answers.get(key)}
    shows = [
        f"{key.partition(':')[2]}={text}" if ":" in key else text
        for key, text in answers.items()
        if text and key.partition(":")[0] == WHOLE
    ]
    return plain, shows


def usage_form(panel: PanelFacts, world: World) -> FormView:
    """Make the form of the start screen."""

    def keep(values: Mapping[str, str]) -> Run:
        plain, shows = texts_of(values)
        if values.get("table"):
            return Run(("usage", panel.folder, f"--table={values['table']}"), f"{TITLE}: {panel.title}",
                       on_screen=False, folder=panel.folder)  # fmt: skip
        shots = values.get("screenshots", "")
        options = [f"--screenshots={shots}"] if shots else []
        options += [f"--{key.replace('_', '-').removesuffix('-cd-m2')}={text}" for key, text in plain.items()]
        words = ("usage", panel.folder, *options, *(f"--shows={one}" for one in shows))
        return Run(words, f"{TITLE}: {panel.title}", on_screen=False, folder=panel.folder)

    def tell(values: Mapping[str, str]) -> Run:
        return Run(("usage", panel.folder), f"Usage: {panel.title}", on_screen=False, folder=panel.folder)

    return form_view(
        f"{TITLE}: {panel.title}",
        (*usage_questions(panel.zones, panel.names, told=panel.usage_told), *FILES),
        Button("Keep it", keep),
        words=WORDS,
        also={"tell": Button("Only say what is kept", tell)},
    )
