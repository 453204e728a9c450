"""The parts of a report, one module each: from figures and comparison to plain content.

Here it is decided what a reader is told. How it looks belongs to ``page`` and ``pictures``; nothing is worked out that
``figures`` and ``compare`` do not say.
"""
