"""What differed at two checkpoints, and what each difference costs.

Which uncertainties cancel between two checkpoints depends on what stayed the same: with one probe, one calibration and
one matrix the calibration's scale cancels in every comparison and session errors cancel in ratios inside a session;
with another probe nothing of the calibration cancels over time, only zone contrasts go on as before.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from panelwear.colorimetry.plausible import IMPOSSIBLE
from panelwear.compare.changes import COMMON, NOTHING_COMMON
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.flags import COSTS, FEW_SHARE
from panelwear.figures.left_out import in_words
from panelwear.folder.hours import overlap_told
from panelwear.screen.questions import QUESTIONS, SETTINGS_COSTS
from panelwear.telling.words import counted
from panelwear.uncertainty.meter import MeterTerms

Kind = Literal["luminance", "colour", "balance", "form", "black", "zone"]
"""``luminance``: absolute. ``colour``: chromaticity of white. ``balance``: channels against each other in a session.
``form``: ratios along the ramp, additivity. ``zone``: a place against its reference in a session."""

LIGHT: frozenset[Kind] = frozenset({"luminance", "colour", "balance", "form", "black"})

CALIBRATED_SCALE = 0.02
CALIBRATED_XY = 0.002
"""Standard uncertainty of a colorimeter's luminance and x, y after calibration against a reference spectroradiometer
by the four-colour method (Brown & Ohno, NIST display colorimeter facility: 2 % and 0.002, k = 1)."""
SPECTRAL_MISMATCH = 0.02
"""Taken for the luminance of a single channel by another probe or matrix; as large as the scale itself (the same
source gives no separate figure for primaries)."""

LINEARITY_PER_DECADE = 0.003
"""Taken for a probe whose linearity is not stated, where another probe's does not cancel (an assumption: a few tenths
of a percent per factor of ten is common practice, no source)."""

ROOM_C_STEP = 3.0
"""IEC 62977-2-1 asks for 25 ± 3 °C."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differed."""

    topic: str
    what: str
    """What it was and what it is, in words."""
    cost: str
    """What that does to the comparison."""
    bars: frozenset[Kind] = frozenset()
    """Kinds of figures that say nothing of the panel's wear because of it."""
    minor: bool = False
    """Told, but not in the verdict."""


@dataclass(frozen=True, slots=True)
class Comparability:
    """How far two checkpoints compare."""

    differences: tuple[Difference, ...]
    common: frozenset[str]
    """Components of uncertainty that both share."""
    same_probe: bool
    cycle_between: bool
    """Whether a compensation cycle ran in between, as far as the record knows."""

    def barred(self, kind: Kind) -> str:
        """Return why figures of a kind say nothing of wear, or empty text."""
        return "; ".join(d.what for d in self.differences if kind in d.bars)

    def meter(self, terms: MeterTerms) -> MeterTerms:
        """Return the probe's terms as this comparison needs them: what is unstated counts where it stays."""
        if self.common:
            return terms.shared()
        return replace(
            terms.shared(),
            calibration_scale=terms.calibration_scale or CALIBRATED_SCALE,
            calibration_xy=terms.calibration_xy or CALIBRATED_XY,
            linearity_per_decade=terms.linearity_per_decade or LINEARITY_PER_DECADE,
        )

    @property
    def mismatch(self) -> float:
        """Standard uncertainty of one channel's luminance that another probe's filters add, as a share."""
        return 0.0 if self.common else SPECTRAL_MISMATCH


def compare_circumstances(before: Circumstances, after: Circumstances) -> Comparability:
    """Say what differed between two checkpoints and what that costs."""
    found = [
        *_probe(before, after),
        *_flagged(before, after),
        *_left_out(before, after),
        *_settings(before, after),
        *_hours(before, after),
        *_cycle(before, after),
        *_rest(before, after),
        *_room(before, after),
        *_screen(before, after),
    ]
    topics = {d.topic for d in found}
    same_probe = "probe" not in topics
    common = COMMON if same_probe and "calibration" not in topics else NOTHING_COMMON
    return Comparability(tuple(found), common, same_probe, "compensation cycle" in topics)


def _differs(before: str, after: str) -> bool:
    return bool(before and after and before != after)


def _probe(before: Circumstances, after: Circumstances) -> list[Difference]:
    found = []
    stay = (
        "the calibrations do not cancel: luminance steps carry about 3 % and colour steps about 0.003 in x and y "
        "(standard uncertainty), gamma and contrast an assumed 0.3 % a decade of luminance, unless probe.toml knows "
        "better; channels against each other carry the filters' "
        "mismatch; zone contrasts compare as before"
    )
    several = [c for c in (before, after) if len(c.probes) > 1 or ", " in c.instrument]
    known = bool(before.probes and after.probes)
    if (known and not before.shares_probe(after)) or _disjoint(before.instrument, after.instrument):
        was, now = (_one_probe(c) for c in (before, after))
        found.append(Difference("probe", f"another probe: {was}, now {now}", stay))
    elif several:
        used = "; ".join(f"{c.name or c.use.words}: {_one_probe(c)}" for c in several)
        mixed = (
            f"more than one probe was used at one checkpoint ({used})",
            f"which reading is whose is not told apart, so they are compared like those of different probes: {stay}",
        )
        found.append(Difference("probe", *mixed))
    elif not known:
        found.append(
            Difference("probe not known", "the probe's serial number was not recorded at both checkpoints",
                       "taken for the same probe; if it was not, absolute steps are worth about 3 % less")
        )  # fmt: skip
    if _differs(before.calibrated, after.calibrated):
        said = f"recalibrated: {before.calibrated}, then {after.calibrated}"
        found.append(Difference("calibration", said, stay))
    found += _corrected(before, after)
    if before.correction_sha256 != after.correction_sha256:
        said = f"another correction matrix was in use ({_digest(before)}, then {_digest(after)})"
        cost = (
            "none: readings are stored as sent by the probe, and one matrix, the present one, is applied to both; "
            "a matrix made on a worn panel would hide part of its wear"
        )
        found.append(Difference("matrix", said, cost))
    if _differs(before.instrument_sha256, after.instrument_sha256) and not [
        d for d in found if d.topic != "matrix applied"
    ]:
        cost = "none if unit and quantities stayed the same; compare the two files"
        found.append(Difference("instrument file", "the instrument file was changed in between", cost))
    return found


def _corrected(before: Circumstances, after: Circumstances) -> list[Difference]:
    """Say which matrix the figures of both are corrected with; no difference, but a thing to know."""
    applied = after.corrected_with or before.corrected_with
    if not applied:
        return []
    other = after.matrix_of or before.matrix_of
    if other:
        said = f"corrected with {applied}, which was made on another panel, {other}"
        return [Difference("matrix applied", said, "colours are worth little until a matrix is made on this panel")]
    return [Difference("matrix applied", f"corrected with {applied}", "none: one matrix serves all checkpoints")]


def _disjoint(before: str, after: str) -> bool:
    """Return whether two lists of names are both known and have nothing in common."""
    was, now = ({part for part in listed.split(", ") if part} for listed in (before, after))
    return bool(was and now and not was & now)


def _one_probe(c: Circumstances) -> str:
    return " ".join(part for part in (c.instrument, c.probe) if part) or "unknown"


def _digest(c: Circumstances) -> str:
    return f"sha256 {c.correction_sha256[:8]}…" if c.correction_sha256 else "none"


def _flagged(before: Circumstances, after: Circumstances) -> list[Difference]:
    found = []
    for flag, (what, cost) in COSTS.items():
        sides = [c for c in (before, after) if flag in c.flagged]
        if sides:
            told = " and ".join(f"{c.name or c.use.words} ({c.flagged[flag].words})" for c in sides)
            few = all(c.flagged[flag].share < FEW_SHARE for c in sides)
            found.append(Difference(flag, f"{what} at {told}", cost, minor=few))
    return found


def _left_out(before: Circumstances, after: Circumstances) -> list[Difference]:
    """Say how many readings cannot be light; the other reasons are told with the figures."""
    sides = [c for c in (before, after) if IMPOSSIBLE in c.left_out]
    if not sides:
        return []
    told = " and ".join(f"{c.name or c.use.words} ({in_words(c.left_out)})" for c in sides)
    cost = (
        "a patch is judged by what else was read of it, or not at all; 'panelwear check' names the rows, and a meter "
        "or line that sends such numbers needs looking at"
    )
    return [Difference("left out", f"readings were left out at {told}", cost)]


_BARS: dict[str, frozenset[Kind]] = {
    "brightness": LIGHT,
    "picture_mode": LIGHT,
    "hdr_off": LIGHT,
    "night_light_off": LIGHT,
    "refresh_hz": frozenset({"form", "black"}),
}
SETTINGS_COST: dict[str, tuple[str, frozenset[Kind]]] = {
    key: (cost, _BARS.get(key, frozenset())) for key, cost in SETTINGS_COSTS.items()
}
"""What a difference in each setting costs, and which kinds of figures it bars."""


def _settings(before: Circumstances, after: Circumstances) -> list[Difference]:
    found = []
    for key, (cost, bars) in SETTINGS_COST.items():
        was, now = before.answers.get(key, ""), after.answers.get(key, "")
        if _differs(was, now):
            words = QUESTIONS[key].text.split(",", maxsplit=1)[0].rstrip("?")
            found.append(Difference("settings", f"{words}: was '{was}', is now '{now}'", cost, bars))
    if after.answers.get("changed"):
        found.append(Difference("settings", f"noted: {after.answers['changed']}", "judge for yourself its effect"))
    return found


def _cycle(before: Circumstances, after: Circumstances) -> list[Difference]:
    since = _number(after.answers.get("since_cycle_h", ""))
    ran = since is not None and since < after.hours - before.hours
    more = after.cycles - before.cycles if before.cycles is not None and after.cycles is not None else 0
    if more > 0 or ran:
        times = counted(more, "compensation cycle") if more > 0 else "a compensation cycle"
        what = f"{times} ran in between"
        cost = (
            "luminance may have stepped up and a zone may be over- or under-compensated: the changes are those of wear "
            "and cycle together; a forecast goes on behind it, with a step left open there"
        )
        return [Difference("compensation cycle", what, cost)]
    if before.cycles is None and after.cycles is None and since is None and after.hours > before.hours:
        cost = "a step up or a sign change of a zone may be the cycle's work"
        return [Difference("compensation not known", "nobody noted whether a compensation cycle ran in between", cost)]
    return []


def _hours(before: Circumstances, after: Circumstances) -> list[Difference]:
    said = overlap_told(before.use, after.use, before.name or "the earlier one")
    cost = "whatever is given for hours of use, and every forecast, is as uncertain; changes themselves are not"
    return [Difference("hours", said, cost)] if said else []


def _rest(before: Circumstances, after: Circumstances) -> list[Difference]:
    was, now = (_number(c.answers.get("rest_h", "")) for c in (before, after))
    if was is None or now is None or max(was, now) <= 2 * min(was, now) + 0.5:
        return []
    cost = "short-lived effects relax in hours of rest: a few tenths of a percent may be rest, not wear"
    return [Difference("rest", f"rest before the inspection: {was:g} h, then {now:g} h", cost)]


def _room(before: Circumstances, after: Circumstances) -> list[Difference]:
    found = []
    was, now = (_number(c.answers.get("room_C", "")) for c in (before, after))
    if was is not None and now is not None and abs(was - now) > ROOM_C_STEP:
        cost = "absolute luminance and white point carry the temperature of panel and probe; ratios hardly do"
        found.append(Difference("room", f"room temperature: {was:g} °C, then {now:g} °C", cost))
    was, now = (_number(c.answers.get("room_lx", "")) for c in (before, after))
    if was is not None and now is not None and max(was, now) > 1.0 and max(was, now) > 2 * min(was, now):
        cost = "black and dark greys carry the room's light"
        found.append(Difference("room", f"light at the panel: {was:g} lx, then {now:g} lx", cost, frozenset({"black"})))
    return found


def _screen(before: Circumstances, after: Circumstances) -> list[Difference]:
    found = []
    flagged = "scaled" in before.flagged or "scaled" in after.flagged
    # What scaling costs is said of the readings; here the size alone counts.
    sizes = [c.screen.replace(", scaled", "") if flagged else c.screen for c in (before, after)]
    if _differs(*sizes):
        cost = "patches of another size in pixels do not pair at all"
        found.append(Difference("screen", f"screen: {before.screen}, then {after.screen}", cost))
    if _differs(before.software, after.software):
        cost = "none known; readings are compared by one and the same version"
        found.append(Difference("software", f"written by {before.software}, then {after.software}", cost))
    return found


def _number(text: str) -> float | None:
    read: Callable[[str], float] = float
    try:
        return read(text.replace(",", ".")) if text.strip() else None
    except ValueError:
        return None
