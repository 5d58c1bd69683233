"""Measurement against standard: measurements, findings, causes, scores, the card for next time."""
