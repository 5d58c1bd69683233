"""The report's templates for other pages in its look: signs, moments, tables; loads nothing that draws."""

from jinja2 import BaseLoader, PackageLoader


def shared_templates() -> BaseLoader:
    """Return the loader of "parts.html" and "progress_main.html"."""
    return PackageLoader("analyzer.shown.report", "templates")
