"""colorimetry."""
