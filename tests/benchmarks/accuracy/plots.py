"""Plots of single flights: the path with the true phases, and both phase sequences against time."""

from pathlib import Path

import numpy as np

from analyzer.given.plane import frame_of
from analyzer.given.reversal_names import PHASE_NAMES
from analyzer.run.debrief import assess
from analyzer.units.factors import METRES_PER_NM, MPS_PER_KNOT
from tests.benchmarks.accuracy.flights import case_of


def plot_case(seed: int, remarks: list[str], folder: Path) -> Path:
    """Draw one flight and return the picture's path."""
    from matplotlib.figure import Figure

    case = case_of(seed)
    flight = case.flight
    figure = Figure(figsize=(13, 7), layout="constrained")
    plan, clock = figure.subplots(1, 2, width_ratios=[1, 1.2])
    along, cross = frame_of(flight.procedure).along_cross_m(flight.track.latitude_deg, flight.track.longitude_deg)
    plan.plot(along / METRES_PER_NM, cross / METRES_PER_NM, ".", color="0.7", markersize=2)
    state = flight.state
    time = state.time_s - flight.recording.first_s
    for attempt in flight.truth.attempts:
        for phase in attempt.phases:
            span = (time >= phase.start_s) & (time <= phase.end_s)
            color = f"C{PHASE_NAMES.index(phase.name)}"
            plan.plot(state.along_m[span] / METRES_PER_NM, state.cross_m[span] / METRES_PER_NM, color=color)
            clock.hlines(PHASE_NAMES.index(phase.name) + 0.15, phase.start_s, phase.end_s, color=color, lw=6)
    plan.set(aspect="equal", xlabel="along (NM, outbound side)", ylabel="cross (NM, right of inbound)")
    plan.plot(0, 0, "k^")
    try:
        result = assess(flight.track, flight.procedure, **case.options).to_dict()
    except Exception as error:  # drawn all the same: the picture is there to explain it
        result = {"attempts": []}
        remarks = [*remarks, repr(error)]
    for one in result["attempts"]:
        for said in one["phases"]:
            clock.hlines(PHASE_NAMES.index(said["name"]) - 0.15, said["start_s"], said["end_s"], color="k", lw=3)
    bank = np.interp(flight.track.time_s, time, state.bank_deg)
    clock.plot(flight.track.time_s, bank / 30.0 - 2.0, color="0.5", lw=0.7)
    clock.set_yticks(range(len(PHASE_NAMES)), PHASE_NAMES)
    clock.set(xlabel="time (s); colour: truth, black: analyzer, grey: bank / 30 deg")
    errors = ", ".join(f"{error.name}" for error in flight.plan.errors) or "no error"
    title = (
        f"flight {seed}: {case.method}, every {case.interval_s:g} s, noise {case.sensor.white_m:.1f} m, "
        f"wind {case.wind_kt:.0f} kt, {flight.plan.tas_mps / MPS_PER_KNOT:.0f} kt, {errors}"
    )
    figure.suptitle("\n".join([title, *(remark[:150] for remark in remarks[:4])]), fontsize=8)
    path = folder / f"flight_{seed}.png"
    figure.savefig(path, dpi=80)
    return path
