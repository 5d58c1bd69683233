"""Laps of a hold in the recording of another reversal: left out with a note, never a reversal that was meant."""

from analyzer.flown import Attempt
from analyzer.flown.reversals.unrelated import without_own_holds
from tests.hand_flown import attempt


def made(number: int, flown_as: str, *, wrong: bool, established: bool = True) -> Attempt:
    start_s = 500.0 * number
    phases = [("outbound", start_s, start_s + 100.0, 1), ("reversal turn", start_s + 100.0, start_s + 160.0, 1)]
    passages = [(start_s, "outbound"), (start_s + 300.0, "inbound")]
    one = attempt(phases, passages, [start_s + 200.0 if established else None], flown_as=flown_as)  # type: ignore[arg-type]
    return Attempt(**{**vars(one), "number": number, "wrong_side": wrong, "start_s": start_s, "end_s": start_s + 300.0})


def kept(*attempts: Attempt) -> list[str]:
    left, notes = without_own_holds(attempts)
    if notes:
        assert [one.number for one in left] == list(range(1, len(left) + 1))
    assert len(notes) == len(attempts) - len(left)
    assert all(note.code == "other-hold" for note in notes)
    return [one.flown_as for one in left]


TURN = made(3, "45/180", wrong=False)


def test_laps_before_a_procedure_turn_and_the_hold_of_its_missed_approach_are_left_out() -> None:
    assert kept(made(1, "racetrack", wrong=True), made(2, "racetrack", wrong=True), TURN) == ["45/180"]
    entry = made(4, "other", wrong=False, established=False)
    assert kept(TURN, entry, made(5, "racetrack", wrong=True)) == ["45/180"]
    assert kept(TURN, made(4, "teardrop", wrong=True), made(5, "racetrack", wrong=True)) == ["45/180"]


def test_a_reversal_on_the_wrong_side_stays_one() -> None:
    assert kept(made(1, "racetrack", wrong=True)) == ["racetrack"], "nothing else was flown: it was meant"
    assert kept(made(1, "45/180", wrong=True), TURN) == ["45/180", "45/180"], "no lap of a hold"
    lost = made(3, "45/180", wrong=False, established=False)
    assert kept(made(1, "racetrack", wrong=True), lost) == ["racetrack", "45/180"]


def test_a_racetrack_on_the_protected_side_is_judged() -> None:
    assert kept(made(1, "racetrack", wrong=False), TURN) == ["racetrack", "45/180"]
