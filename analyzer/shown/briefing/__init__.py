"""The sheet before the flight: the solved plan of a procedure in a wind, drawn and in words, on one page."""
