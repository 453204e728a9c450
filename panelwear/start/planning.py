"""Plans a session as its command will, so that the way can be seen before the first light; nothing is written."""

from __future__ import annotations

from pathlib import Path

from panelwear.errors import PanelwearError
from panelwear.start.state import ShowWay
from panelwear.start.way import Planned
from panelwear.telling.words import with_capital

DRAWN_SHARE, DRAWN_SHARE_WITH_WORDS = 0.5, 0.38
"""Of the page's height, without and with sentences on what is left out."""


def planned(asked: ShowWay) -> Planned:
    """Plan a session; a fault of a file or of what was asked for is told in the place of the way."""
    from panelwear.run.plan import Wanted, cannot_tell, plan_session
    from panelwear.run.route_page import route_drawing, route_words
    from sequences.route import stops

    wanted = Wanted(
        Path(asked.run.folder),
        sequence=asked.sequence,
        instrument=asked.instrument,
        link=asked.link,
        without_probe=asked.without_probe,
    )
    try:
        plan = plan_session(wanted)
    except (PanelwearError, OSError) as error:
        return Planned(fault=str(error))
    cannot = cannot_tell(plan)
    share = DRAWN_SHARE_WITH_WORDS if cannot or plan.notes else DRAWN_SHARE
    return Planned(
        sequence=plan.sequence.name,
        words=route_words(plan.steps, plan.facts),
        cannot=tuple(map(with_capital, cannot)),
        notes=tuple(map(with_capital, (*plan.notes, *plan.reach))),
        drawing=route_drawing(plan.steps, plan.facts, share) if stops(plan.steps, plan.facts) else None,
    )
