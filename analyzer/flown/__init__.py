"""What happened: motion, altitude, wind, turns, and the reversals made of them."""
