"""The by-eye check: see wear, mark it, and measure it without an instrument.

Everything here but ``look_session`` is pure: no window, no files, no clock. The state machines are driven by the
screen's event records, or by a simulated observer (``benchmarks.support.observer``).
"""
