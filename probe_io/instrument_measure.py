"""Read the ``[measure]`` table of an instrument file, and the templates everywhere in it."""

from __future__ import annotations

from probe_io.instrument import Measure, Poll
from probe_io.quantities import HOLES, UNITS
from probe_io.template import Command, Template, TemplateFault, parse_command, parse_template
from probe_io.toml_reader import Table

EXTRA_HOLES = ("integration_s", "integration_ms")
"""What a reply may tell besides its quantity."""


def read_command(t: Table, key: str, allowed: tuple[str, ...]) -> Command | None:
    """Read a command with holes; ``None`` where it is missing or faulty (then noted)."""
    if not t.has(key):
        t.text(key)
        return None
    text = t.text(key)
    try:
        return parse_command(text, allowed)
    except TemplateFault as fault:
        t.fault(key, str(fault))
        return None


def read_template(t: Table, key: str, decimal: str = ".", *, required: bool = False) -> Template | None:
    """Read a reply template; ``None`` where it is missing or faulty (then noted)."""
    text = t.text(key, "", required=required)
    if not t.has(key):
        return None
    try:
        return parse_template(text, decimal)
    except TemplateFault as fault:
        t.fault(key, str(fault))
        return None


def read_measure(t: Table, decimal: str) -> Measure | None:
    """Read ``[measure]``; ``None`` where something it cannot do without is faulty (then noted)."""
    t.text("send", "", required=True)
    send = read_command(t, "send", EXTRA_HOLES)
    reply = read_template(t, "reply", decimal, required=True)
    quantity = t.text("quantity", "XYZ", choices=tuple(HOLES), required=True)
    if reply is not None:
        _check_holes(t, reply, quantity)
    wait = t.text("wait", "reply", choices=("reply", "poll", "fixed"))
    poll = _poll(t.table("poll"), needed=wait == "poll")
    fetch = read_command(t, "fetch", EXTRA_HOLES)
    if wait == "poll" and fetch is None:
        t.fault("fetch", 'missing; with wait = "poll" it asks for the result')
    ack = read_template(t, "ack")
    fixed_s = t.number("fixed_s", 0.0, 0.0, 600.0)
    missing, over_range = t.numbers("missing"), t.numbers("over_range")
    unit = t.text("unit", "cd/m2", choices=(*UNITS, "factor"))
    factor = t.number("factor", 1.0, 1e-9, 1e9, required=unit == "factor")
    if unit != "factor":
        if t.has("factor"):
            t.fault("factor", 'is only allowed with unit = "factor"')
        factor = UNITS[unit]
    low = t.number("low_light_below_cd_m2", 0.0, 0.0, 1e6) if t.has("low_light_below_cd_m2") else None
    high = t.number("over_range_above_cd_m2", 1e6, 0.0, 1e9) if t.has("over_range_above_cd_m2") else None
    t.done()
    if send is None or reply is None:
        return None
    return Measure(
        send=send,
        reply=reply,
        quantity=quantity,
        factor=factor,
        unit=unit,
        wait=wait,
        poll=poll,
        fetch=fetch,
        low_light_below_cd_m2=low,
        over_range_above_cd_m2=high,
        ack=ack,
        fixed_s=fixed_s,
        missing=missing,
        over_range=over_range,
    )


def _check_holes(t: Table, reply: Template, quantity: str) -> None:
    for name in HOLES[quantity]:
        if reply.holes.get(name) not in {"number", "integer"}:
            t.fault(
                "reply", f'has no hole {{{name}:number}}; quantity = "{quantity}" needs {", ".join(HOLES[quantity])}'
            )
    for name in EXTRA_HOLES:
        if reply.holes.get(name, "number") not in {"number", "integer"}:
            t.fault("reply", f"the hole {{{name}}} must be a number")


def _poll(t: Table, *, needed: bool) -> Poll | None:
    if not needed:
        if t.has("send") or t.has("busy"):
            t.fault("send", 'is only used with wait = "poll"')
        return None
    send = read_command(t, "send", ())
    busy = read_template(t, "busy", required=True)
    every_s = t.number("every_s", 0.1, 0.005, 60.0)
    if send is None:
        t.fault("send", 'missing; with wait = "poll" it asks whether the instrument is busy')
    t.done()
    return Poll(send, busy, every_s) if send and busy else None
