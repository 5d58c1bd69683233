"""Why it happened: the circuit flown again as it was, with one thing at a time put right, and with all."""

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from math import factorial

import numpy as np

from analyzer.flown import Attempt, Flight, Motion
from analyzer.given import Frame, Procedure, Wind
from analyzer.judged.causes.correction import Correction
from analyzer.judged.causes.corrections import find_corrections
from analyzer.judged.causes.effects import Yardstick, measured_roll_out, yardsticks
from analyzer.judged.causes.flown_circuit import flown_circuit
from analyzer.judged.causes.reflight import Reflight, Straight, Turn, corners, fly
from analyzer.judged.causes.turns import onto_course_number
from analyzer.judged.causes.values import Cause, Causes, Effect
from analyzer.judged.causes.wording import Told, cause_text, effect_text, remedy
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.planned import Plan
from analyzer.units import METRES_PER_NM, FloatArray

#: a re-flight that is farther from the flown path than this, or this share of its length, root mean square, explains
#: nothing
LARGEST_REPRODUCTION_M, LARGEST_REPRODUCTION_SHARE = 0.15 * METRES_PER_NM, 0.02
MOST_CORRECTIONS = 6
HEADING_CAUSES = ("wind correction", "outbound heading", "offset heading", "outbound tracking")
LEAST_CONTRIBUTION_M = 0.03 * METRES_PER_NM


def explain(attempt: Attempt, measures: AttemptMeasures, flight: Flight, plan: Plan, lap: int | None = None) -> Causes:
    """Return what caused overshoot, excursions and a roll-out in the wrong place, by contribution.

    Parameters
    ----------
    attempt, measures, plan
        As everywhere.
    flight : Flight
        Without a wind there are no causes.
    lap : int, optional
        Reflight to explain; the last one otherwise.

    Notes
    -----
    The re-flight uses the headings, times and rates that were flown, in the estimated wind. Each cause says what the
    effect is with it alone put right; its contribution is its share of what all of them take off together, see
    `shares_m`.
    """
    procedure, frame = plan.procedure, plan.frame
    motion, wind = flight.motion, flight.wind
    lap = attempt.laps if lap is None else lap
    if wind is None:
        return Causes(lap, None, None, (), "the wind is not known")
    if attempt.wrong_side:
        return Causes(lap, None, None, (), "the reversal was flown on the unprotected side: that is the cause")
    circuit = flown_circuit(attempt, lap, motion, wind, frame)
    if circuit is None:
        return Causes(lap, None, None, (), "the track shows no complete turn back to the course")
    rms_m, worst_m = reproduction_m(circuit, motion)
    if not rms_m <= max(LARGEST_REPRODUCTION_M, LARGEST_REPRODUCTION_SHARE * fly(circuit).length_m):
        reason = f"the re-flight is {rms_m / METRES_PER_NM:.2f} NM off the flown path, too far to explain it"
        return Causes(lap, rms_m, worst_m, (), reason)
    circuit = fitted(circuit, motion)
    found = _weightiest(find_corrections(circuit, attempt, lap, measures, procedure))
    corrected = _all(circuit, found)
    sticks = yardsticks(circuit, attempt, measures, plan, corrected, measured_roll_out(attempt, lap, motion))
    others = _perturbed(attempt, lap, motion, wind, frame)
    effects = tuple(
        _effect(stick, circuit, corrected, found, others, (attempt, lap, measures, procedure)) for stick in sticks
    )
    effects = _distinct(tuple(effect for effect in effects if effect.causes))
    return Causes(lap, rms_m, worst_m, effects)


def _weightiest(found: tuple[Correction, ...]) -> tuple[Correction, ...]:
    """Keep those farthest off for how well they are read: shares take twice as long with every one more."""
    if len(found) <= MOST_CORRECTIONS:
        return found
    kept = sorted(found, key=lambda item: -abs(item.flown - item.asked) / item.sigma)[:MOST_CORRECTIONS]
    return tuple(item for item in found if item in kept)


def _distinct(effects: tuple[Effect, ...]) -> tuple[Effect, ...]:
    """Leave out the roll-out point where another effect has the same main cause: it would say the same twice."""
    main = {effect.causes[0].name for effect in effects if effect.name != "roll-out point"}
    return tuple(effect for effect in effects if effect.name != "roll-out point" or effect.causes[0].name not in main)


def fitted(circuit: Reflight, motion: Motion) -> Reflight:
    """Return the circuit with what each turn is off as its residual, and the intercept leg ending where it did.

    The leg then ends at that cross-track distance whatever is put right before it.
    """
    points = corners(circuit)
    now_s = circuit.start_s
    for number, piece in enumerate(circuit.pieces):
        until_s = now_s + piece.duration_s
        if isinstance(piece, Turn):
            flown = [
                float(np.diff(np.interp([now_s, until_s], motion.time_s, axis))[0])
                for axis in (motion.along_m, motion.cross_m)
            ]
            modelled = [points[number + 1][axis] - points[number][axis] for axis in (0, 1)]
            residual = (flown[0] - modelled[0], flown[1] - modelled[1])
            circuit = circuit.with_piece(number, replace(piece, residual_m=residual))
        now_s = until_s
    return _steady(circuit)


def _steady(circuit: Reflight) -> Reflight:
    number = onto_course_number(circuit)
    if number is None:
        return circuit
    leg = circuit.pieces[number - 1]
    assert isinstance(leg, Straight)
    return circuit.with_piece(number - 1, replace(leg, until_cross_m=corners(circuit)[number][1]))


def reproduction_m(circuit: Reflight, motion: Motion) -> tuple[float, float]:
    """Return root mean square and largest distance of the re-flown from the flown path at the same moments, metres.

    The legs count at their ends only: on an outbound leg that captures its course the re-flight takes the straight
    line between them.
    """
    path = fly(circuit)
    along = np.interp(path.time_s, motion.time_s, motion.along_m)
    cross = np.interp(path.time_s, motion.time_s, motion.cross_m)
    off = np.hypot(path.along_m - along, path.cross_m - cross)
    weight = np.maximum(np.gradient(path.time_s), 1e-9)
    now_s = circuit.start_s
    for piece in circuit.pieces:
        if isinstance(piece, Straight):
            weight[(path.time_s > now_s + 1e-6) & (path.time_s < now_s + piece.duration_s - 1e-6)] = 0.0
        now_s += piece.duration_s
    off = np.where(weight > 0.0, off, 0.0)
    return float(np.sqrt(np.sum(weight * off**2) / np.sum(weight))), float(np.max(off))


def _all(circuit: Reflight, corrections: Sequence[Correction]) -> Reflight:
    return reduce(lambda changed, correction: correction.change(changed), corrections, circuit)


def _perturbed(attempt: Attempt, lap: int, motion: Motion, wind: Wind, frame: Frame) -> tuple[Reflight, ...]:
    """Return the circuit as it would be read with the wind 1 sigma off, along each axis of its covariance."""
    if wind.covariance is None:
        return ()
    ee, en, _, nn, _, _ = wind.covariance
    values, vectors = np.linalg.eigh(np.array([[ee, en], [en, nn]]))
    circuits = []
    for value, vector in zip(values, vectors.T, strict=True):
        east, north = np.sqrt(max(float(value), 0.0)) * vector
        other = replace(wind, east_mps=wind.east_mps + float(east), north_mps=wind.north_mps + float(north))
        circuit = flown_circuit(attempt, lap, motion, other, frame)
        if circuit is not None:
            circuits.append(fitted(circuit, motion))
    return tuple(circuits)


def shares_m(stick: Yardstick, circuit: Reflight, found: Sequence[Correction]) -> tuple[dict[str, float], list[float]]:
    """Return what each correction takes off an effect, by name, and the effect with each alone put right.

    The share is the mean of what a correction takes off over all orders in which the corrections can be made (the
    Shapley value): shares add up to what all of them take off together, also where two errors hid each other.
    """
    count = len(found)
    sizes: dict[int, float] = {}
    for subset in range(1 << count):
        chosen = [item for bit, item in enumerate(found) if subset >> bit & 1]
        sizes[subset] = stick.size_m(_all(circuit, chosen))
    shares: dict[str, float] = {}
    for bit, item in enumerate(found):
        total = 0.0
        for subset, size_m in sizes.items():
            if not subset >> bit & 1:
                before = subset.bit_count()
                weight = factorial(before) * factorial(count - before - 1) / factorial(count)
                total += weight * (size_m - sizes[subset | 1 << bit])
        shares[item.name] = total
    return shares, [sizes[1 << bit] for bit in range(count)]


def _effect(
    stick: Yardstick,
    circuit: Reflight,
    corrected: Reflight,
    found: Sequence[Correction],
    others: Sequence[Reflight],
    asked: tuple[Attempt, int, AttemptMeasures, Procedure],
) -> Effect:
    """Return one effect with its causes: the size as measured, the change by re-flying."""
    modelled_m = stick.size_m(circuit)
    before_m = modelled_m if stick.measured_m is None else stick.measured_m
    together_m = max(before_m - modelled_m + stick.size_m(corrected), 0.0)
    shares, alone_m = shares_m(stick, circuit, found)
    spread = dict.fromkeys(shares, 0.0)
    attempt, lap, measures, procedure = asked
    for other in others:
        again, _ = shares_m(stick, other, _weightiest(find_corrections(other, attempt, lap, measures, procedure)))
        of_headings = sum(share for name, share in again.items() if name in HEADING_CAUSES)
        for name in spread:  # with another wind the same heading may count as uncorrected or as wrong
            share = again.get(name, of_headings if name in HEADING_CAUSES else 0.0)
            spread[name] += (share - shares[name]) ** 2
    causes = []
    for item, alone in zip(found, alone_m, strict=True):
        share = shares[item.name]
        if share < LEAST_CONTRIBUTION_M:
            continue
        reading = share * item.sigma / max(abs(item.flown - item.asked), item.sigma)
        sigma = float(np.sqrt(spread[item.name] + reading**2))
        after_m = max(before_m - modelled_m + alone, 0.0)
        told = Told(stick.name, item, before_m, after_m, share)
        from_s, along, cross = departure(circuit, item.change(circuit))
        causes.append(
            Cause(
                item.name, item.flown, item.asked, item.unit, before_m, after_m, share, sigma,
                cause_text(told, procedure), remedy(item, procedure), from_s, along, cross,
            )
        )  # fmt: skip
    causes.sort(key=lambda cause: -cause.contribution_m)
    return Effect(stick.name, before_m, together_m, tuple(causes), effect_text(stick.name, before_m, together_m))


def departure(circuit: Reflight, changed: Reflight) -> tuple[float, FloatArray, FloatArray]:
    """Return when a changed circuit departs from the one that was flown, and its path from there on.

    Parameters
    ----------
    circuit, changed : Reflight
        As flown, and with something put right.

    Returns
    -------
    from_s : float
        Start of the first piece that differs; of a straight flown longer or shorter on the same heading, its end.
    along_m, cross_m : array, shape (n,)
    """
    now_s = circuit.start_s
    for flown, right in zip(circuit.pieces, changed.pieces, strict=True):
        if flown != right:
            if isinstance(flown, Straight) and replace(flown, duration_s=right.duration_s) == right:
                now_s += min(flown.duration_s, right.duration_s)
            break
        now_s += flown.duration_s
    path = fly(changed)
    later = path.time_s >= now_s - 1e-6
    later[max(int(np.argmax(later)) - 1, 0)] = True  # from the last place that both have
    return now_s, path.along_m[later], path.cross_m[later]
