"""The commands, a module each. None imports anything heavy before it runs."""
