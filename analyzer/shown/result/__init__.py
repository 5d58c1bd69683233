"""The result file: units, rounding, published schema, geometry for other programs."""
