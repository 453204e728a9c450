"""What was read and seen, as rows: columns of ``readings.csv``, ``marks.csv``, ``nulls.csv``, their store, and tables.

Rows and their files only; which checkpoint they belong to is the folder's business, what they tell that of figures.
"""
