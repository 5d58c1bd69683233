"""Changes that no test can notice, each with its reason: they are counted apart, never as killed."""

#: (file, what stands there, how it reads after the change): why nothing can differ
EQUIVALENT: dict[tuple[str, str, str], str] = {}
