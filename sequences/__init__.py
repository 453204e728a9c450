"""sequences."""
