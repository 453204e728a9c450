"""commands."""
