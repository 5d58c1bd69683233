"""Changes that no test can notice, each with its reason: they are counted apart, never as killed."""

#: (file, what stands there, how it reads after the change): why nothing can differ
EQUIVALENT: dict[tuple[str, str, str], str] = {
    ("flown/wind/from_turns.py", "0.01", "(0.0125)"): "when a fit stops: a step of a hundredth of a metre a second",
    ("flown/wind/from_turns.py", "0.01", "(0.008)"): "when a fit stops: a step of a hundredth of a metre a second",
    ("judged/measurements/altitude_stretch.py", "1e-9", "(8.000000000000001e-10)"): "a guard against rounding alone",
    ("judged/measurements/altitude_stretch.py", "1e-9", "(1.25e-09)"): "a guard against rounding alone",
}
