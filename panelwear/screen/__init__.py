"""screen."""
