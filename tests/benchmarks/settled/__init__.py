"""Settles the numbers that came from experiments and not from a document: vary one, fly many, print the errors."""
