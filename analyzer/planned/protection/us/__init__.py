"""Protected areas of the US criteria."""
