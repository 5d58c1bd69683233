"""What is handed in, as frozen values checked at birth: track, procedure, wind, options, the plane about the fix."""
