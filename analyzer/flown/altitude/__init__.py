"""What the altimeter showed, and how sure that is."""
