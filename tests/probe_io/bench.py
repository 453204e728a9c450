"""Instruments with short time-outs, so that faults do not make the tests slow."""

from __future__ import annotations

from dataclasses import replace

from probe_io.instrument import Instrument, Integration, Retry, TimeOut
from probe_io.instrument_file import find, parse

DIALECTS = ("scpi-colorimeter", "plain-lines")
TRANSPORTS = ("tcp", "pty")


def quick(name: str, *, times: int = 1, give_up_after: int = 3) -> Instrument:
    """A shipped instrument, otherwise unchanged, that waits at most 0.3 s."""
    instrument = find(name)
    send = instrument.integration.send
    return replace(
        instrument,
        line=replace(instrument.line, quiet_s=0.05),
        time_out=TimeOut(margin_s=0.25, times_integration=1.0, exchange_s=0.3),
        integration=Integration(0.05, 0.01, 2.0, send),
        retry=Retry(times=times, give_up_after=give_up_after),
    )


def made(measure: str, rest: str = "", line: str = "", retry: str = "times = 0") -> Instrument:
    """An instrument file of a test's own; no exchange before the first reading."""
    text = (
        f'format = "panelwear-instrument/1"\nname = "made"\n[line]\nquiet_s = 0.03\n{line}\n'
        f"[time_out]\nmargin_s = 0.2\nexchange_s = 0.25\n[integration]\ndefault_s = 0.05\n"
        f"[retry]\n{retry}\n[measure]\n{measure}\n{rest}\n"
    )
    return parse(text.encode(), "made.toml")


class Counting:
    """Light that tells which measurement it belongs to: Y is 100 times its number."""

    def __init__(self) -> None:
        self.calls = 0

    def __call__(self, integration_s: float) -> tuple[float, float, float]:
        self.calls += 1
        return 95.0 * self.calls, 100.0 * self.calls, 108.0 * self.calls
