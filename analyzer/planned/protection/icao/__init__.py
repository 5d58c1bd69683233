"""Protected areas computed as the ICAO criteria say."""
