"""Values that a chart gives by approach category: `{ A = 280, C = 272 }` holds for A and B, and from C on."""

from collections.abc import Mapping
from typing import Any

CATEGORIES = "ABCDE"
DEFAULT_CATEGORY = "A"
#: table and key of what may be given by category
_BY_CATEGORY = (("course", "outbound_deg"), ("limits", "outbound_min"))


def for_category(mapping: Mapping[str, Any]) -> tuple[dict[str, Any], list[str]]:
    """Return the tables with the values of the file's category, and the dotted keys that have none for it.

    A category without a value of its own has that of the one before it, as charts print one line for several.
    """
    protection = mapping.get("protection")
    category = str(
        protection.get("category", DEFAULT_CATEGORY) if isinstance(protection, Mapping) else DEFAULT_CATEGORY
    )
    resolved = dict(mapping)
    without: list[str] = []
    for table, key in _BY_CATEGORY:
        values = mapping[table].get(key) if isinstance(mapping.get(table), Mapping) else None
        if isinstance(values, Mapping):
            upto = [each for each in CATEGORIES[: CATEGORIES.find(category) + 1] if values.get(each) is not None]
            if not upto:
                without.append(f"{table}.{key}")
            resolved[table] = {**resolved[table], key: values[upto[-1]] if upto else None}
    return resolved, without
