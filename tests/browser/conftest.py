"""One browser and one folder of pages for each module of browser tests."""

from browser_pages import browser, folder

__all__ = ["browser", "folder"]
