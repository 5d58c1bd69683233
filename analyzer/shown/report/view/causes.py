"""Why it happened: each effect with its causes, the largest contribution first."""

from analyzer.judged import Causes
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import EffectView

_TITLES = {
    "overshoot": "The overshoot",
    "rolled out short": "Rolled out short of the course",
    "distance limit": "Beyond the distance limit",
    "primary area": "Outside the primary area",
    "roll-out point": "Rolled out in the wrong place",
}


def effect_views(causes: Causes | None) -> tuple[EffectView, ...]:
    """Return what went wrong with what caused it; empty where that is not known."""
    if causes is None:
        return ()
    views = []
    for effect in causes.effects:
        largest = max((abs(cause.contribution_m) for cause in effect.causes), default=0.0)
        rows = tuple(
            (
                wording.sentence(cause.text),
                f"{wording.miles(cause.contribution_m)}, 1 sigma {wording.miles(cause.sigma_m)}",
                round(100.0 * abs(cause.contribution_m) / largest) if largest > 0.0 else 0,
            )
            for cause in effect.causes
        )
        title = f"{_TITLES[effect.name]}: {wording.miles(effect.size_m)}"
        views.append(EffectView(title, wording.sentence(effect.text), rows))
    return tuple(views)


def causes_note(causes: Causes | None) -> str:
    """Return how well the flight was flown again, or why its causes are not known."""
    if causes is None:
        return ""
    if causes.reason:
        return wording.sentence(f"Causes are not known: {causes.reason}")
    if causes.reproduction_m is None or not causes.effects:
        return ""
    texts = [cause.text for effect in causes.effects for cause in effect.causes]
    alone = "Each line puts one thing right" + (
        "; where it says so, together with the rest."
        if any("the rest put right" in text for text in texts)
        else " alone."
    )
    return (
        "The reversal was flown again from the headings, times and rates that were flown, in the estimated wind: "
        f"{wording.miles(causes.reproduction_m)} from the flown path (root mean square). {alone} "
        "Contributions need not add up."
    )
