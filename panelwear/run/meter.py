"""Whether the meter that answers is the one that read before; asked at every start and resume, before all else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from panelwear.errors import UsageError
from panelwear.run.pages import Held, Way, held_question
from panelwear.screen.operator import Operator
from panelwear.telling.words import with_capital
from probe_io.reading import ProbeIdentity

TITLE = "Another meter answers"
LOOK = "Two meters may differ by more than a panel wears in months. Connect the first one where you can."
STOP, GO_ON = "no", "yes"
WAYS = (
    Way(STOP, "s", "Stop here", "nothing was read; connect the first meter, and begin again"),
    Way(GO_ON, "g", "Go on with this one", "it stands in the record from which reading on another meter read"),
)
"""Where nobody is there, the first."""


def _name(model: str, serial: str) -> str:
    return " ".join(word for word in (model, serial) if word)


def other_meter(identity: ProbeIdentity, before: Mapping[str, Any], whose: str) -> str:
    """Say that another meter answers than ``before``; empty where it is the same, or where one of them does not tell.

    Args:
        identity: Who answers now.
        before: ``model`` and ``serial`` of an earlier session's record, or what ``probe.toml`` states.
        whose: Where that stands, in words.
    """
    for key in ("serial", "model"):
        then, now = str(before.get(key, "")), getattr(identity, key)
        if then and now and then != now:
            was = _name(str(before.get("model", "")), str(before.get("serial", "")))
            return f"the meter that answers is {_name(identity.model, identity.serial)}; {whose} it was {was}"
    return ""


def same_meter(
    operator: Operator,
    identity: ProbeIdentity | None,
    stated_serial: str,
    earlier: Sequence[tuple[str, Mapping[str, Any]]],
) -> tuple[str, ...]:
    """Ask the person whether to go on where another meter answers than before; return what is to be recorded.

    Nobody there to be asked: it is refused.

    Args:
        operator: Who is asked.
        identity: Who answers now; ``None`` without a probe.
        stated_serial: The serial number ``probe.toml`` states.
        earlier: Where a meter was recorded, in words, and its record.

    Raises:
        UsageError: Another meter answers and the person does not go on with it.
    """
    if identity is None or identity.link == "simulated":
        return ()
    known = [("in probe.toml", {"serial": stated_serial}), *earlier]
    found = tuple(dict.fromkeys(s for whose, before in known if (s := other_meter(identity, before, whose))))
    if found:
        told = "; ".join(found)
        held = Held(TITLE, f"{with_capital(told)}.", LOOK, "Nothing was read with it yet.")
        if operator.ask(held_question("another_meter", held, WAYS, pauses=False)) != GO_ON:
            raise UsageError(
                f"{told}; nothing was read. Connect the first one, or go on with it by hand, without --yes"
            )
    return found
