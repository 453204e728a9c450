"""A reading that cannot be the light that is shown: taken again once, and if it stays so the run is held and asks."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.errors import ProbeFault, Stopped
from panelwear.panel.plausible import KNOWN, Expected, Verdict, judge, stops
from panelwear.panel.resolve import Resolved
from panelwear.readings.row import Row
from panelwear.run.light_due import NOT_OF_THE_PATCH, light_due
from panelwear.run.messages import Ask, Bell, Keep, Message, MoveProbe, Show, Tell
from panelwear.run.pages import Held, Way, held_question, stop_way
from panelwear.run.state import RunState
from panelwear.run.steps.guide import target_frame
from panelwear.telling.words import with_capital
from patterns.frame import Frame
from sequences.model import Patch
from sequences.place_names import place_name

IMPLAUSIBLE = "implausible"
"""Flag of a reading that enters no figure."""
UNEXPECTED = "unexpected"
"""Flag of a reading that the person said is truly so."""
ACCEPTED = "unexpected_light"
"""Key in the session's record: what the person said is truly so."""
AGAIN, GO_ON, END = "read again", "it is so", "end"
CAUSES = "is the probe off the target, fallen, or covered, or the panel off? Or has its brightness been changed?"
TITLE = "This reading cannot be right"
WAYS = (
    Way(AGAIN, "r", "Put it right, and read again", "the target comes on; lay the probe there, uncovered"),
    Way(GO_ON, "i", "It is so", f"this light is true; readings of it are flagged '{UNEXPECTED}'"),
    stop_way(END),
)
"""The three answers."""
MOST_ASKED = 5
"""So often one patch is put right and read again; then the run ends."""
SCALES = (0.1, 10.0)
"""Within these a person's "it is so" is a new brightness, by which earlier sessions' responses are corrected."""


def recall_accepted(state: RunState) -> None:
    """Take up again the brightness the person said was so before the session was interrupted.

    The patch itself is asked about anew: the probe has been put down again since.
    """
    for noted in state.facts.get(ACCEPTED, []):
        scale = noted.get("light_scale") if isinstance(noted, dict) else None
        if isinstance(scale, int | float) and scale > 0:
            state.light_scale = float(scale)


class Doorkeeper:
    """Judges the readings of one patch as they come, and asks where they cannot be.

    Args:
        state: The session.
        patch: What is read.
        resolved: Its codes.
        purpose: What overrides the patch's own purpose.
        frame: What is on the screen.
    """

    def __init__(self, state: RunState, patch: Patch, resolved: Resolved, purpose: str, frame: Frame) -> None:
        self._state = state
        self._patch = patch
        self._expected: Expected | None = light_due(state, patch, resolved, purpose, frame)
        self._lit = purpose not in NOT_OF_THE_PATCH
        self._odd: list[Verdict] = []
        self._told = ""
        """What was said of the reading before."""
        self._asked = 0
        self._key = f"{state.visit} {patch.key}"

    def flags(self, luminance_cd_m2: float | None) -> dict[str, bool]:
        """Return the flags a reading gets, each with whether it does."""
        odd = luminance_cd_m2 is not None and self._judge(luminance_cd_m2) != "plausible"
        accepted = self._key in self._state.accepted
        unsure = self._state.unsure_visit == self._state.visit
        # What was told of one patch is no longer measured of the others: they rest on a person's word as well.
        another_light = self._expected is not None and not KNOWN[0] <= self._state.light_scale <= KNOWN[1]
        told = self._lit and (accepted or unsure or another_light)
        return {IMPLAUSIBLE: odd and not accepted, UNEXPECTED: told}

    def _judge(self, luminance_cd_m2: float) -> Verdict:
        if self._expected is None:
            return "plausible"
        noise = self._state.noise
        return judge(self._expected, luminance_cd_m2, 0.0 if noise is None else noise.sd(self._expected.cd_m2))

    def passes(self, row: Row) -> Generator[Message, Any, bool]:
        """Tell whether a stored reading may be used; where it was confirmed, ask first.

        Raises:
            ProbeFault: it is implausible, confirmed, and nobody is there.
            Stopped: the person ends the run.
        """
        if IMPLAUSIBLE not in row.flags.split() or row.Y_cd_m2 is None or self._expected is None:
            return True
        verdict = self._judge(row.Y_cd_m2)
        self._odd.append(verdict)
        if not stops(self._odd):
            self._told = f"{self._said(verdict, row.Y_cd_m2)}; it is taken again"
            yield Tell(self._told)
            return False
        self._odd.clear()
        yield from self._ask(self._said(verdict, row.Y_cd_m2), row.Y_cd_m2, row.row)
        return False

    def _said(self, verdict: Verdict, luminance_cd_m2: float) -> str:
        due = 0.0 if self._expected is None else self._expected.cd_m2
        told = "" if self._expected is None else self._expected.told
        how = {"black": "black where light is due", "too dark": "too dark", "too bright": "too bright"}
        if verdict == "too bright" and due < 1.0:
            how["too bright"] = "light where black is due"
        return (
            f"{self._patch.key} reads {luminance_cd_m2:.3g} cd/m², {how.get(verdict, verdict)}: "
            f"{due:.3g} cd/m² was to be expected by {told}"
        )

    def _ask(self, said: str, luminance_cd_m2: float, row: int) -> Generator[Message, Any, None]:
        state = self._state
        self._asked += 1
        if state.unattended or self._asked > MOST_ASKED:
            raise ProbeFault(
                f"{said}, and so again when it was taken again: {CAUSES} Everything read is stored, this "
                f"flagged '{IMPLAUSIBLE}': put it right, then 'panelwear resume'"
            )
        state.resettle = True  # the question stood in the place of the patch
        yield Bell()
        read = f"{self._told}: {luminance_cd_m2:.3g} cd/m²." if self._told else f"{said}."
        look = with_capital(CAUSES)
        held = Held(TITLE, read, look, state.safe, state.where)
        answer = yield Ask(held_question("implausible", held, WAYS))
        if answer == END:
            raise Stopped("ended because the probe's reading cannot be the light that is shown; all is stored")
        if answer == AGAIN:
            yield Show(target_frame(state, self._patch.place))
            text = f"put the probe on the target at '{place_name(self._patch.place.name)}', uncovered"
            yield MoveProbe(self._patch.place, text, find=True)
            state.resettle = True  # so did what it was found with
            return
        yield from self._accept(said, luminance_cd_m2, row)

    def _accept(self, said: str, luminance_cd_m2: float, row: int) -> Generator[Message, Any, None]:
        """Take the person's word for this patch in this visit; a changed brightness corrects what is recalled."""
        state = self._state
        state.accepted.add(self._key)
        due = self._expected.cd_m2 if self._expected is not None and self._expected.of_earlier_session else 0.0
        ratio = luminance_cd_m2 / due if due > 0 else 0.0
        if SCALES[0] <= ratio <= SCALES[1]:
            state.light_scale *= ratio
        noted = {"after_row": row, "said": said, "light_scale": state.light_scale}
        yield Keep(ACCEPTED, [*state.facts.get(ACCEPTED, []), noted])
        yield Tell(f"as you say: readings of it are flagged '{UNEXPECTED}' from here on, and figures say so")
