"""One module for each format of recording that is not a table."""
