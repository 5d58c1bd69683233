"""The debrief page: gathered into plain strings (`view`), drawn (`figures_…`), placed (`page`)."""
