"""The chart of a procedure before any flight: plan, profile, protected areas and the nominal path."""
