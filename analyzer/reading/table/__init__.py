"""Recordings as tables: layout, columns, times, one aircraft of several."""
