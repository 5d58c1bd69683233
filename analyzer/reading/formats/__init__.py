"""One module for each format of recording that is no table."""
