"""`--help` of commands with many options: in groups, with examples before the options."""

from collections.abc import Mapping, Sequence
from typing import Any

import click

OTHER = "Other options"


class GroupedCommand(click.Command):
    """A command whose help shows its options in groups.

    Parameters
    ----------
    groups : mapping of str to sequence of str
        Heading and the names of its options' parameters, in the order shown; those in no group come last.
    examples : sequence of str
        Lines to type, shown before the options.
    """

    def __init__(
        self, *args: Any, groups: Mapping[str, Sequence[str]], examples: Sequence[str] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.groups = groups
        self.examples = examples

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the examples and the groups of options."""
        if self.examples:
            with formatter.section("Examples"):
                for line in self.examples:
                    formatter.write(f"{'':>{formatter.current_indent}}{line}\n")
        records = {each.name: each.get_help_record(ctx) for each in self.get_params(ctx)}
        grouped = {name for names in self.groups.values() for name in names}
        rest = [name for name in records if name is not None and name not in grouped]
        for heading, names in (*self.groups.items(), (OTHER, rest)):
            rows = [record for name in names if (record := records.get(name)) is not None]
            if rows:
                with formatter.section(heading):
                    formatter.write_dl(rows)


#: how the options of an assessment are grouped
ASSESSMENT_GROUPS: dict[str, tuple[str, ...]] = {
    "The track": ("columns", "explain", "max_megabytes", "position_sigma_m", "altitude_sigma_ft"),
    "The day": ("altimeter_setting", "temperature_c", "station_elevation_ft", "wind", "forecast_wind"),
    "The clearance": (
        "clearance",
        "reversal_expected",
        "hold_laps",
        "leave_at",
        "hold_altitude_ft",
        "hold_leg_min",
        "assigned_altitude_ft",
        "cleared_at",
        "crossing_altitude_ft",
        "straight_in",
        "circling",
    ),
    "Judging": ("tolerances", "self_assessment", "anonymous", "clock"),
}
