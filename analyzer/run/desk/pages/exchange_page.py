"""The page that brings lessons in from another desk."""

from flask import render_template


def show() -> str:
    """Ask for the archives."""
    return render_template("desk/import.html", place="/")
