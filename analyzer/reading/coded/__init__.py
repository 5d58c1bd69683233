"""Coded procedures: reversals out of a file of ARINC 424 records that the user has."""
