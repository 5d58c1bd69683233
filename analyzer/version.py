"""The version of this program, as the report and the result file say it."""

__version__ = "0.1.0"
