"""What was read and seen, as rows: columns of ``readings.csv``, ``marks.csv`` and ``matches.csv``, store, tables.

Rows and their files only; which checkpoint they belong to is the folder's business, what they tell that of figures.
"""
