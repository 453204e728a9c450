"""The parts of a report, one module each: from figures and comparison to plain content."""
