"""Wind and true airspeed with their covariance, or why they are not known."""
