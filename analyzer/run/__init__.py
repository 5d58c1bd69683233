"""Calls, commands, many tracks, the demo: what starts the work."""
