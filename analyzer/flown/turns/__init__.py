"""Turns and straight flight, with their edges."""
