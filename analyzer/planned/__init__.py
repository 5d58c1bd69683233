"""What was asked for: paths, plans for a wind, needle, entry sectors, protected areas."""
