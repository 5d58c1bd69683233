"""Times after a track's first moment, in words."""


def clock(seconds: float) -> str:
    """Return a time after the track's first moment as mm:ss, or h:mm:ss from one hour on; none is before it."""
    hours, rest = divmod(max(0, round(seconds)), 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"{rest // 60:02d}:{rest % 60:02d}"
