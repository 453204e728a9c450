"""Levels that hold: from a wanted luminance to drive codes, steady state, enough readings, the probe's place."""
