"""Reversal Debrief: what a flight log says about an instrument course reversal.

`analyzer.assess(track, procedure)` returns an `analyzer.Debrief`. Both are loaded when they are first asked for, so
that `import analyzer` costs nothing.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from analyzer.run.debrief import Debrief as Debrief
    from analyzer.run.debrief import assess as assess

__version__ = "0.1.0"
__all__ = ["Debrief", "__version__", "assess"]


def __getattr__(name: str) -> Any:
    if name in ("Debrief", "assess"):
        from analyzer.run import debrief

        return getattr(debrief, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
