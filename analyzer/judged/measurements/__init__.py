"""Numbers taken from an attempt, with their uncertainty and where they were taken; they judge nothing."""
