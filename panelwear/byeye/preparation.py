"""What comes before the first field: cautions, a few questions, what is known of the response."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from panelwear.folder.checkpoint import Checkpoint, all_of, last_answers
from panelwear.folder.evening import given_this_evening
from panelwear.folder.panel import Panel
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver, recall
from panelwear.screen import caution
from panelwear.screen.bench import Bench
from panelwear.screen.evening import Evening
from panelwear.screen.operator import Inquiry
from panelwear.screen.questions import EYES, QUESTIONS, differences, offered, other_eyes, warnings

ASKED = ("pixel_shift", "rest_h", "room_lx", "adaptation_min")
DARK = "Dark room, nothing behind the screen. The walk begins dim."


def say_cautions(bench: Bench, evening: Evening | None) -> None:
    """Say the cautions and wait for the person; the eyes adapt afterwards: nothing is lost by light that comes before.

    Args:
        bench: Screen and person.
        evening: What was read this evening; ``None``: nobody is there.
    """
    caution.say_cautions(bench.screen, bench.operator, bench.clock, evening, more=(DARK,))


def ask_person(bench: Bench, panel: Panel, checkpoint: Checkpoint) -> dict[str, str]:
    """Ask what an eye's finding depends on, in one form; answers are stored at once."""
    last = last_answers(panel.directory, checkpoint)
    given = given_this_evening(checkpoint, bench.clock.utc(), len(checkpoint.record["sessions"]) + 1)
    known = {**_stated(last), **_stated(checkpoint.corrected["answers"])}
    asked = tuple(offered(one, given.answers, known, last) for one in (EYES, *(QUESTIONS[key] for key in ASKED)))

    def costs(answers: Mapping[str, str]) -> tuple[str, ...]:
        return (*differences(answers, last), *warnings(answers), *other_eyes(answers, last))

    # The eyes may be in the dark already: the form stays dim.
    answers = bench.operator.ask_all(Inquiry(asked, "Before you look", costs, lit=False))
    checkpoint.record.setdefault("answers", {}).update(answers)
    checkpoint.save()
    return answers


def _stated(answers: Mapping[str, str]) -> dict[str, str]:
    """Leave out what was not answered."""
    return {key: value for key, value in answers.items() if value}


def known_response(panel: Panel, checkpoint: Checkpoint, tell: Callable[[str], None]) -> LevelResolver:
    """Return the panel's response: measured in this checkpoint, else the newest of an earlier one, else assumed.

    One measured at an earlier checkpoint counts as assumed: the panel has aged since. ``tell`` says which stored one is
    damaged and was left out.
    """
    resolver = LevelResolver(assumed_response(panel.assumed_response))
    earlier = [c for c in all_of(panel.directory) if c.name != checkpoint.name]
    damaged = recall(resolver, [session for found in earlier for session in found.record["sessions"]])
    for sentence in (*damaged, *recall(resolver, checkpoint.record["sessions"], aged=False)):
        tell(sentence)
    return resolver
