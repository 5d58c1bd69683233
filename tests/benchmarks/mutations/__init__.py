"""Small wrong changes to the program, and whether a test notices: the well chosen ones, and a drawn sample."""
