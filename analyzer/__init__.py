"""Reversal Debrief: what a flight log says about an instrument course reversal.

`analyzer.assess(track, procedure)` returns an `analyzer.Debrief`. Both are loaded when they are first asked for, so
that `import analyzer` costs nothing.
"""

from typing import TYPE_CHECKING, Any

from analyzer.version import __version__

if TYPE_CHECKING:
    from analyzer.run import Debrief, assess

__all__ = ["Debrief", "__version__", "assess"]


def __getattr__(name: str) -> Any:
    if name in ("Debrief", "assess"):
        from analyzer import run

        return getattr(run, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return __all__
