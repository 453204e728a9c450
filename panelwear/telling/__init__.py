"""What is said on a terminal, laid out: tables and prose at a given width, and the one place that writes them.

``parts.py`` has plain records, ``layout.py`` turns them into lines, ``words.py`` counts things; only ``out.py`` knows a
terminal. Columns, widths and breaks are those of the library ``rich``, which is imported where a table is laid out.
"""
