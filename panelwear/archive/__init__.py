"""What leaves a panel folder for other programs: one checkpoint as files of other formats, and many panels together.

Libraries of the extras ``archive`` and ``cluster`` are imported where used, after ``extras.needed`` asked for them.
"""
