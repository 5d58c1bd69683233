"""The instructor's margin: what was said of an assessment, beside the findings that it speaks of."""
