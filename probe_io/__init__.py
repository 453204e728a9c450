"""probe_io."""
