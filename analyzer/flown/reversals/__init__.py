"""Passes of the fix, circuits, attempts: which turn is which, method, entry, established."""
