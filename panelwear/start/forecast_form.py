"""The form before a forecast: until what, and used how."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from panelwear.errors import UsageError
from panelwear.screen.operator import Question
from panelwear.start.facts import PanelFacts, World
from panelwear.start.form import Button, FormView, form_view
from panelwear.start.state import Run

UNTIL = ("until", "until_2")
USES = ("use", "use_2", "use_3")
WORDS = (
    "Left empty, it says what is sensible for this panel, used as it is and half as many hours. A luminance is what is "
    "kept of the baseline's, a contrast is one against the zone's reference, a shift is Δu'v' of white."
)


def forecast_form(panel: PanelFacts, world: World) -> FormView:
    """Make the form: two targets, and three other uses than this panel's own."""
    zone = panel.zones[0] if panel.zones else "ZONE"
    asked = (
        ("Until", f"such as: peak 90 %, {zone} contrast 3 %, {zone} visible, white shift 0.004"),
        ("And until", "another one"),
    )
    uses = (
        ("Used otherwise", "such as: 8h x 5d/week, 4h/day, half my hours, half my brightness, half the bright content"),
        ("Or so", "another's use; several things of one use stand between commas"),
        ("Or so", "a third one"),
    )
    return form_view(
        f"Forecast: {panel.title}",
        (
            *(
                Question(key, text, label=label, check=lambda said: _target(said, panel.zones))
                for key, (label, text) in zip(UNTIL, asked, strict=True)
            ),
            *(
                Question(key, text, label=label, check=_use)
                for key, (label, text) in zip(USES, uses, strict=True)
            ),
        ),
        Button("Say when", lambda values: _run(panel, values)),
        words=WORDS,
    )  # fmt: skip


def _run(panel: PanelFacts, values: Mapping[str, str]) -> Run:
    options = [f"--until={values[key]}" for key in UNTIL if values.get(key)]
    options += [f"--use={values[key]}" for key in USES if values.get(key)]
    return Run(("forecast", panel.folder, *options, "--json"), f"Forecast: {panel.title}", on_screen=False,
               folder=panel.folder)  # fmt: skip


def _target(text: str, zones: Sequence[str]) -> str:
    from panelwear.forecast.targets import target_of

    return _without_option(text, lambda: target_of(text.strip(), zones))


def _use(text: str) -> str:
    from panelwear.forecast.uses import use_of

    return _without_option(text, lambda: use_of(text.strip()))


def _without_option(text: str, read: Callable[[], object]) -> str:
    """Return a text that can be read; ``ValueError`` says why it cannot, without the option it would stand behind."""
    if text.strip():
        try:
            read()
        except UsageError as error:
            said = str(error)
            raise ValueError(said.partition("': ")[2] or said) from None
    return text.strip()
