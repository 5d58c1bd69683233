"""Protected areas of a reversal as polygons in the frame's along/cross axes."""
