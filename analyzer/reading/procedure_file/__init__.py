"""The procedure file: schema, values, problems and their words."""
