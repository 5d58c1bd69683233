"""The one solution for a procedure in a wind: headings, times and distances that end where the chart asks for."""
