"""Correct an answer, hours or cycles beside a checkpoint's record, which stays as it was; comparison uses it."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelwear.telling.out import tell
from panelwear.telling.parts import Exactly, Prose

if TYPE_CHECKING:
    from panelwear.folder.checkpoint import Checkpoint
    from panelwear.folder.hours import HoursOfUse


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder")
    parser.add_argument("checkpoint", metavar="CHECKPOINT", help="its name below checkpoints/")
    parser.add_argument(
        "--set",
        dest="changes",
        metavar="KEY=VALUE",
        action="append",
        default=[],
        help="what it should have been: hours, cycles or an answer (may be repeated; without it the keys are listed)",
    )
    parser.add_argument("--why", metavar="TEXT", help="why; always needed with --set")
    parser.add_argument("--by", metavar="NAME", help="who says so (the name you are logged in under)")


def run(arguments: argparse.Namespace) -> int:
    """Write the amendment, or list what can be corrected."""
    from groundwork.clock import RealClock
    from panelwear.commands.parsing import who
    from panelwear.errors import UsageError
    from panelwear.folder import checkpoint
    from panelwear.folder.lock import hold

    if arguments.changes and not (arguments.why or "").strip():
        raise UsageError("--why TEXT: say why, as the report will; both values are kept")
    with hold(arguments.directory):
        found = checkpoint.find(arguments.directory, arguments.checkpoint)
        before = {key: _stands(found, key) for key in _keys()}
        if not arguments.changes:
            tell([Exactly(tuple(f"{key} = {_told(before[key])}" for key in before))])
            return 0
        wanted = _checked(arguments.changes)
        changes = {key: value for key, value in wanted.items() if not _is_alike(before[key], value)}
        _refuse_disorder(checkpoint.all_of(arguments.directory), found, changes.get("hours"))
        if changes:
            found.amend(arguments.why.strip(), RealClock().utc(), _as_stored(changes), arguments.by or who())
        overlaps = _overlaps(checkpoint.all_of(arguments.directory), found) if "hours" in changes else ()
    said = [_said(found, key, before[key], value, is_new=key in changes) for key, value in wanted.items()]
    tell([*(Prose(one, aside=True) for one in said), *map(Prose, overlaps)], quiet=arguments.quiet)
    return 0


def _said(found: Checkpoint, key: str, was: Any, value: Any, *, is_new: bool) -> str:
    now = _told(getattr(value, "text", value))
    if not is_new:
        return f"{found.name}: {key} stands so already ({now}); nothing was recorded"
    return f"{found.name}: {key} is {now} from now on, was {_told(was)}; the record keeps what was written"


def _told(value: Any) -> Any:
    return "not stated" if value in (None, "") else value


def _is_alike(was: Any, value: Any) -> bool:
    """Tell whether what stands is what it should have been; nothing stated and nothing typed are alike."""
    now = getattr(value, "text", value)
    return bool(was == now) or (was in (None, "") and now == "")


def _overlaps(there: Sequence[Checkpoint], found: Checkpoint) -> tuple[str, ...]:
    """Say which hours those of a checkpoint overlap."""
    from panelwear.folder.overlapping_hours import overlapping_hours

    overlaps = overlapping_hours(there)
    return tuple(f"{one.sentence}." for one in overlaps if found.name in (one.earlier, one.later))


def _stands(found: Checkpoint, key: str) -> Any:
    """Return what stands of a key, corrections included; hours as ``--hours`` takes them."""
    from panelwear.folder.amendments import value_of

    return found.use.text if key == "hours" else value_of(found.corrected, key)


def _as_stored(changes: dict[str, Any]) -> dict[str, Any]:
    """Return the keys of a record that say it."""
    use = changes.get("hours")
    return {**changes, **({} if use is None else use.all_keys())}


def _keys() -> Sequence[str]:
    from panelwear.folder.amendments import OF_THE_CHECKPOINT
    from panelwear.screen.questions import EYES, QUESTIONS

    return (*OF_THE_CHECKPOINT, *QUESTIONS, EYES.key)


def _checked(words: Sequence[str]) -> dict[str, Any]:
    """Read KEY=VALUE; an answer has to be one that the question itself would take."""
    from panelwear.errors import UsageError
    from panelwear.folder.hours import parse_hours
    from panelwear.screen.answers import check_answer
    from panelwear.screen.questions import EYES, QUESTIONS

    found: dict[str, Any] = {}
    for word in words:
        key, sign, text = word.partition("=")
        if not sign or key not in _keys():
            raise UsageError(f"--set {word}: write KEY=VALUE with one of {', '.join(_keys())}")
        try:
            if key == "hours":
                found[key] = parse_hours(text)
            elif key == "cycles":
                found[key] = _within(int(text), 10**6)
            else:
                found[key] = check_answer({**QUESTIONS, EYES.key: EYES}[key], text.strip())
        except ValueError as error:
            said = str(error) if key != "cycles" else f"'{text}' is not a number from 0 to 1000000"
            raise UsageError(f"--set {key}: {said}") from None
    return found


def _within(value: Any, high: float) -> Any:
    if not 0 <= value <= high:
        raise ValueError
    return value


def _refuse_disorder(there: Sequence[Checkpoint], found: Checkpoint, use: HoursOfUse | None) -> None:
    """Refuse hours that would put checkpoints in another order than the days they were begun."""
    from panelwear.errors import UsageError
    from panelwear.folder.odd_start import begun_at

    if use is None:
        return
    begun = begun_at(found.record)
    for other in there:
        at = begun_at(other.record)
        if other.name == found.name or at is None or begun is None:
            continue
        earlier = at < begun
        if (earlier and other.hours > use.value) or (not earlier and other.hours < use.value):
            when = "before" if earlier else "after"
            raise UsageError(
                f"--set hours={use.text}: {other.name} was begun {when} it at {other.use.words}; hours only rise"
            )
