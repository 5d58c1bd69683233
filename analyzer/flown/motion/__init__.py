"""The cleaned, smoothed state of the aircraft with its noise."""
