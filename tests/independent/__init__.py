"""An aircraft, a pilot and a recorder that share no code with the program they test."""
