"""Files to values: the border where units become SI and bad input is refused in one line."""
