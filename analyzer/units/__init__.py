"""Exact factors, courses and angles, and the words for numbers."""
