"""The by-eye check: see wear, mark it, and measure it without an instrument.

Here live the walk through the fields, the methods that match a zone, and what their results mean. Methods and walk are
state machines without effects, driven by the screen's event records or by a simulated observer; screen and clock are
passed in, and only ``eye_files`` and ``map_picture`` write files. Not here: anything of a probe, a run, or readings.
"""
