"""Values a person gives to an instrument file's settings."""

from __future__ import annotations

from collections.abc import Mapping

from probe_io.errors import InstrumentFileError
from probe_io.instrument import Instrument, Setting


def checked_settings(instrument: Instrument, given: Mapping[str, float | str]) -> dict[str, float | str]:
    """Return a value for each setting of the instrument; raises ``InstrumentFileError`` with every fault."""
    known = {setting.name: setting for setting in instrument.settings}
    faults = [
        f"{instrument.name}: there is no setting '{name}'; known are {', '.join(known) or 'none'}"
        for name in given
        if name not in known
    ]
    found: dict[str, float | str] = {}
    for name, setting in known.items():
        value = given.get(name, setting.value)
        if wrong := _wrong(setting, value):
            faults.append(f"{instrument.name}: setting '{name}' is {value!r}; wanted {wrong}")
        found[name] = value
    if faults:
        raise InstrumentFileError(tuple(faults))
    return found


def _wrong(setting: Setting, value: float | str) -> str:
    if setting.choices:
        return "" if value in setting.choices else "one of " + ", ".join(setting.choices)
    low = -1e9 if setting.low is None else setting.low
    high = 1e9 if setting.high is None else setting.high
    if not isinstance(value, str) and low <= value <= high:
        return ""
    return f"a number from {low:g} to {high:g}"
