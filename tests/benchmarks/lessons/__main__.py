"""`python -m tests.benchmarks.lessons [LESSONS] [FIRST SEED]`: are whole lessons told apart, and their faults named?

Of each lesson: parts given to the right procedure, other parts found, critical findings beside the fault put in, the
fault named. What went wrong is printed, with counts at the end.
"""

import sys
from collections import Counter

from analyzer.given import Options
from analyzer.judged import assess_lesson
from analyzer.reading import clearance_asked, clearance_of_flight
from tests.whole_lessons import FAULTS, PROCEDURES, WholeLesson, whole_lesson

SAME_S = 15.0
#: criticals that go with a fault put in, and what a human pilot's flight may break by itself (looked at one by one)
WITH_FAULT = {
    "minimum broken on the missed approach": {"below-minimum-descent-altitude"},
    "descent before cleared": {"descended-before-cleared"},
}


def found_in(one: WholeLesson) -> tuple[list[tuple[int, str, float]], list[tuple[float, str, str]]]:
    """Return the parts (procedure, "straight in" or "", last passage) and findings (moment, code, severity) found."""
    asked = clearance_of_flight(clearance_asked(one.clearance), None, one.track.duration_s)
    lesson = assess_lesson(one.track, PROCEDURES, Options(clearance=asked))
    parts = [(index, "", item.attempt.last_inbound_passage_s or -1.0) for index, _, item in lesson.in_order]
    parts += [(index, "straight in", item.straight.passed_s) for index, item in lesson.straight_ins]
    judgements = [item.judgement for _, _, item in lesson.in_order] + [
        item.judgement for _, item in lesson.straight_ins
    ]
    findings = [(one.at_s or 0.0, one.code, one.severity) for judged in judgements for one in judged.findings]
    return parts, findings


def true_criticals(one: WholeLesson) -> set[str]:
    """Return the critical findings that the flights of a lesson earned by themselves, as the synthesizer knows them."""
    true: set[str] = set()
    for part in one.parts:
        truth = part.truth
        if truth is None:
            continue
        true |= {"never-established"} if truth.established[-1] is None else set()
        true |= {"turned-on-unprotected-side"} if truth.wrong_side else set()
        true |= {"left-distance-limit"} if truth.distance_excursions else set()
        if any(each.violations for each in truth.altitudes if each.segment != "final"):
            true |= {"below-minimum-altitude", "descended-before-established", "off-assigned-altitude"}
    return true


def main() -> int:
    """Fly lessons, share them out, print what went wrong and the counts."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 5000
    right = parts = extra = own = 0
    named: Counter[str] = Counter()
    put_in: Counter[str] = Counter()
    criticals: Counter[str] = Counter()
    false: Counter[str] = Counter()
    for seed in range(first, first + count):
        one = whole_lesson(seed)
        got, findings = found_in(one)
        fits = [
            any(
                index == part.procedure
                and (kind == "straight in") == (part.method == "straight in")
                and abs(at_s - part.last_s) < SAME_S
                for index, kind, at_s in got
            )
            for part in one.parts
        ]
        parts, right, extra = parts + len(fits), right + sum(fits), extra + len(got) - sum(fits)
        said = []
        allowed = set() if one.fault is None else {FAULTS[one.fault], *WITH_FAULT.get(one.fault, set())}
        true = true_criticals(one)
        own = own + sum(severity == "critical" and code in true for _, code, severity in findings)
        for at_s, code, severity in findings:
            if severity == "critical" and code not in allowed | true:
                criticals[code] += 1
                said.append(f"critical {code} at {at_s:.0f}")
            if code in FAULTS.values() and code not in allowed:
                false[code] += 1
                said.append(f"not put in: {code} at {at_s:.0f}")
        if one.fault is not None:
            put_in[one.fault] += 1
            if any(code == FAULTS[one.fault] for _, code, _ in findings):
                named[one.fault] += 1
            else:
                said.append(f"fault not named: {one.fault}")
        if not all(fits) or len(got) != len(fits) or said:
            wanted = [(PROCEDURES[p.procedure].title, p.method, round(p.first_s), round(p.last_s)) for p in one.parts]
            shown = sorted((round(at), PROCEDURES[i].title, kind) for i, kind, at in got)
            print(f"{seed}: {said}\n    flown {wanted}\n    found {shown}", flush=True)
    print(f"{count} lessons, {parts} parts: {right} right ({100.0 * right / parts:.1f} %), {extra} others found")
    for fault, times in put_in.items():
        print(f"{fault}: {times} put in, {named[fault]} named")
    print(f"faults named that were not put in: {dict(false)}; false critical findings: {dict(criticals)}")
    print(f"{own} critical findings that the flights earned by themselves")
    return 0


if __name__ == "__main__":
    sys.exit(main())
