"""Reversal Debrief: what a flight log says about an instrument course reversal."""

__version__ = "0.1.0"
