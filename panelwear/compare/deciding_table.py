"""What would decide an undecided figure, as cells of a table: a row an offer."""

from __future__ import annotations

from panelwear.compare.deciding import Deciding, Offer

DECIDING_COLUMNS = (
    ("figure", "", "stable key of a figure that is undecided"),
    ("part", "", "part of the uncertainty that rules"),
    ("share", "1", "its share of the variance", 2),
    ("assumed", "", "yes where that part is assumed, not measured"),
    ("u", "row", "standard uncertainty of the change now", 2),
    ("needed_u", "row", "under which it would be decided, if the change is as seen", 2),
    ("unit", "", "unit of u, needed_u and u_then"),
    ("offer", "", "stability, readings or evenings; empty where none of them decides"),
    ("number", "1", "evenings of a stable light, readings a patch, evenings at a checkpoint"),
    ("both_ends", "", "yes where both ends of a comparison need it"),
    ("at_most", "", "stability: what the terms may come out as, as in probe.toml"),
    ("u_then", "row", "standard uncertainty of the change with it", 2),
    ("chance", "1", "share of cases in which a change as seen is then decided", 2),
    ("sentence", "", "as it is said"),
)


def deciding_cells(one: Deciding) -> list[tuple[object, ...]]:
    """Return a row an offer; one row without where there is none."""
    assumed = "yes" if one.assumed else ""
    begun = (one.figure, one.part, one.share, assumed, one.step.u, one.needed_u, one.step.unit)
    offers = [_offer(offer) for offer in one.offers] or [("", None, "", "", None, None)]
    return [(*begun, *offer, one.sentence) for offer in offers]


def _offer(offer: Offer) -> tuple[object, ...]:
    terms = ", ".join(f"{key} = {value:.3g}" for key, value in offer.at_most)
    return (offer.kind, offer.number, "yes" if offer.both else "", terms, offer.step.u, offer.chance)
