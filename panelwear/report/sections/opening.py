"""The first screen: the outline, the large numbers, the caveats, and the strip of all checkpoints."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from panelwear.compare.comparison import Pair
from panelwear.compare.headline import KeyNumber, Step, key_numbers
from panelwear.compare.plain_sentences import plain_sentences
from panelwear.compare.sentences import SENTENCES
from panelwear.figures.flags import COSTS, FEW_SHARE
from panelwear.report import baseline, by_photographs
from panelwear.report.content import BigNumber, Opening, Picture, Told
from panelwear.report.formatting import parted
from panelwear.report.inputs import Inputs
from panelwear.report.sections import evenness, eye, photographs, zones
from panelwear.telling.words import counted, with_capital


def opening(inputs: Inputs, remarks: Sequence[str] = ()) -> Opening:
    """Return the first screen.

    Args:
        inputs: figures, comparison, panel.
        remarks: sentences on the checkpoints' files, such as amendments.
    """
    numbers = _changes(inputs) if inputs.pairs else baseline.numbers(inputs)
    caveats = tuple(dict.fromkeys((*_caveats(inputs), *remarks)))
    return Opening(numbers, _outline(inputs), caveats, zones.strip(inputs))


def sentences(inputs: Inputs) -> tuple[str, ...]:
    """Return three plain sentences; without two checkpoints to compare, what the baseline says."""
    if inputs.pairs:
        return plain_sentences(inputs.pairs, inputs.panel.facts())
    return baseline.sentences(inputs)


def _outline(inputs: Inputs) -> Picture | None:
    """Return the zones on the outline, where none was read the grid, and where nothing was read what the eye marked."""
    if not inputs.inspected:
        return eye.marked(inputs) or photographs.outline(inputs)
    return zones.outline(inputs) or evenness.outline(inputs)


def _changes(inputs: Inputs) -> tuple[BigNumber, ...]:
    since = "since the baseline" if inputs.pairs[0].since == "baseline" else f"since {inputs.pairs[0].before.name}"
    return tuple(_number(one, since, inputs.pairs[1:2]) for one in key_numbers(inputs.pairs))


def _number(one: KeyNumber, since: str, last: Sequence[Pair]) -> BigNumber:
    main = _told(one.step, since) or Told(since, "not known", verdict="not read alike at both checkpoints")
    begun = f"since last time ({last[0].before.use.words})" if last else ""
    return BigNumber(one.title, main, _last(one.last, begun) if last else None, one.beside)


def _last(step: Step | None, begun: str) -> Told:
    if step is None:
        return Told(begun, "not known")
    return Told(begun, step.value, verdict=step.verdict, weight=step.weight)


def _told(step: Step | None, when: str) -> Told | None:
    if step is None:
        return None
    return Told(when, *parted(step.value), step.verdict, step.weight)


def _caveats(inputs: Inputs) -> Iterator[str]:
    """Yield what a reader must know before the numbers: hours that fall, what may be no wear, what was not alike."""
    if not inputs.pairs:
        yield from _flags(inputs)
        if not inputs.inspected:
            yield from by_photographs.caveats(inputs)
        return
    if inputs.comparison is not None:
        yield from inputs.comparison.sentences[:-SENTENCES]
    for pair in inputs.pairs:
        yield from pair.suspicions
    first = inputs.pairs[0]
    for one in first.how.differences:
        if not (one.minor or one.cost.startswith("none")):
            yield f"{with_capital(one.what)}: {one.cost}."
    if first.not_compared:
        count = len(first.not_compared)
        yield f"Not everything pairs: {counted(count, 'group')} of patches left out, named below."
    if first.assumed:
        yield f"{first.assumed.rstrip('.')}."


def _flags(inputs: Inputs) -> Iterator[str]:
    """Yield what the readings of the newest checkpoint were flagged with, as far as they are more than a few."""
    for flag, (what, cost) in COSTS.items() if inputs.inspected else ():
        found = inputs.last.evidence.circumstances.flagged.get(flag)
        if found is not None and found.share >= FEW_SHARE:
            yield f"{with_capital(what)} ({found.words}): {cost}."
