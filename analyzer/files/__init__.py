"""Small files read with a cap, whole files written at once."""
