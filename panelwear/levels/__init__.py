"""levels."""
