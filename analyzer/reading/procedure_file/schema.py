"""The shape of a procedure file: tables, keys, types and ranges. What keys mean together is `procedure_file`'s part.

Each field's description says what would be right; it stands in the published JSON Schema and in error messages.
Importing this module imports pydantic: do so only where a file is refused or the schema is written.
"""

from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from analyzer.reading.procedure_file.printed_forms import PRINTED_LATITUDE, PRINTED_LONGITUDE

# strict: a TOML string "118" or true is not a number; nan and inf are numbers in TOML and possible nowhere here
_Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
_Latitude = Annotated[
    Annotated[_Number, Field(ge=-90.0, le=90.0)] | Annotated[str, Field(pattern=PRINTED_LATITUDE)],
    Field(description='degrees WGS 84 from -90 to 90, south negative, or as printed: "N46 12.0"'),
]
_Longitude = Annotated[
    Annotated[_Number, Field(ge=-180.0, le=180.0)] | Annotated[str, Field(pattern=PRINTED_LONGITUDE)],
    Field(description='degrees WGS 84 from -180 to 180, west negative, or as printed: "W101 30.0"'),
]
_Course = Annotated[_Number, Field(ge=0.0, le=360.0)]
_Elevation = Annotated[_Number, Field(ge=-1500.0, le=30000.0, description="feet above mean sea level, -1500 to 30000")]
_Altitude = Annotated[_Number, Field(ge=-1500.0, le=60000.0, description="feet above mean sea level, -1500 to 60000")]
_Minutes = Annotated[_Number, Field(gt=0.0, le=10.0)]
_Ident = Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[^\x00-\x1f\x7f]+$")]


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class FixTable(_Table):
    """[fix]: the point the reversal starts and ends at."""

    ident: _Ident | None = Field(None, description="a short text, as on the chart")
    latitude: _Latitude
    longitude: _Longitude
    elevation_ft: _Elevation | None = None


class CategoryCourses(_Table):
    """Courses by approach category; a category that isn't named has that of the one before."""

    A: _Course | None = None
    B: _Course | None = None
    C: _Course | None = None
    D: _Course | None = None
    E: _Course | None = None


class CategoryMinutes(_Table):
    """Minutes by approach category; a category that isn't named has those of the one before."""

    A: _Minutes | None = None
    B: _Minutes | None = None
    C: _Minutes | None = None
    D: _Minutes | None = None
    E: _Minutes | None = None


_Sectors = Annotated[list[Annotated[list[_Course], Field(min_length=2, max_length=2)]], Field(max_length=20)]
_SECTORS = "a list of sectors [[first, last], ...], arrival courses in degrees magnetic, clockwise, with no reversal"


class CourseTable(_Table):
    """[course]: magnetic courses, the variation that makes them true, the side of the manoeuvre."""

    inbound_deg: _Course = Field(description="degrees magnetic from 0 to 360, flown towards the fix")
    variation_deg: Annotated[_Number, Field(ge=-180.0, le=180.0)] | Literal["WMM"] = Field(
        description='degrees from -180 to 180, east positive and west negative, or "WMM"'
    )
    turn_side: Literal["left", "right"] | None = Field(None, description='"left" or "right"')
    outbound_deg: _Course | CategoryCourses | None = Field(
        None, description="degrees magnetic from 0 to 360, a teardrop's outbound course; or { A = 280, C = 272 }"
    )
    offset_deg: _Course | None = Field(None, description="degrees magnetic from 0 to 360; heading of the 45/180's leg")
    no_reversal_from: _Sectors | None = Field(None, description=_SECTORS)


class GuidanceTable(_Table):
    """[guidance]: what the needle follows."""

    kind: Literal["VOR", "NDB", "localizer", "RNAV"] = Field(description='"VOR", "NDB", "localizer" or "RNAV"')
    full_scale_deg: Annotated[_Number, Field(gt=0.0, le=45.0)] | None = Field(
        None, description="degrees of full deflection to one side, above 0 and up to 45"
    )
    full_scale_nm: Annotated[_Number, Field(gt=0.0, le=20.0)] | None = Field(
        None, description="nautical miles of full deflection to one side, above 0 and up to 20"
    )
    latitude: _Latitude | None = None
    longitude: _Longitude | None = None


class DistanceLimitTable(_Table):
    """A limit by the distance from a station; without a position the station of the guidance."""

    ident: _Ident | None = Field(None, description="a short text, as on the chart")
    dme_nm: Annotated[_Number, Field(gt=0.0, le=200.0)] = Field(description="nautical miles, above 0 and up to 200")
    latitude: _Latitude | None = None
    longitude: _Longitude | None = None


class LimitsTable(_Table):
    """[limits]: distance, leg and speed."""

    remain_within_nm: Annotated[_Number, Field(gt=0.0, le=100.0)] | None = Field(
        None, description="nautical miles from the fix, above 0 and up to 100"
    )
    outbound_min: _Minutes | CategoryMinutes | None = Field(
        None, description="minutes, above 0 and up to 10; or by category { A = 2, C = 1.5 }"
    )
    outbound_limit: DistanceLimitTable | None = Field(
        None, description="a table such as { dme_nm = 8, latitude = 46.3, longitude = -101.4 }"
    )
    outbound_nm: Annotated[_Number, Field(gt=0.0, le=50.0)] | None = Field(
        None, description="nautical miles, above 0 and up to 50"
    )
    timing_from: Literal["wings level", "turn start"] | None = Field(None, description='"wings level" or "turn start"')
    max_ias_kt: Annotated[_Number, Field(ge=30.0, le=600.0)] | None = Field(None, description="knots from 30 to 600")


class AltitudeTable(_Table):
    """One segment's altitude: exactly one of the four keys."""

    model_config = ConfigDict(extra="forbid", frozen=True, json_schema_extra={"minProperties": 1, "maxProperties": 1})

    at_or_above: _Altitude | None = None
    at_or_below: _Altitude | None = None
    at: _Altitude | None = None
    between: Annotated[list[_Altitude], Field(min_length=2, max_length=2)] | None = Field(
        None, description="[low, high], two altitudes in feet, -1500 to 60000"
    )


_EXAMPLE = "a table such as { at_or_above = 4600 }, with one of at_or_above, at_or_below, at, between"


class AltitudesTable(_Table):
    """[altitudes_ft]: the rule of each segment that has one."""

    arrival: AltitudeTable | None = Field(None, description=_EXAMPLE)
    reversal: AltitudeTable | None = Field(None, description=_EXAMPLE)
    inbound: AltitudeTable | None = Field(None, description=_EXAMPLE)
    final: AltitudeTable | None = Field(None, description=_EXAMPLE)


class ProtectionTable(_Table):
    """[protection]: by whose criteria the areas and the speed limit are taken."""

    criteria: Literal["US", "ICAO"] | None = Field(None, description='"US" or "ICAO"')
    category: Literal["A", "B", "C", "D", "E"] | None = Field(None, description='"A", "B", "C", "D" or "E"')


class RunwayTable(_Table):
    """[runway]: the threshold, for drawing and as the end of the final segment."""

    ident: _Ident | None = Field(None, description="a short text, as on the chart")
    latitude: _Latitude
    longitude: _Longitude
    elevation_ft: _Elevation | None = None


class PlaceTable(_Table):
    """A position."""

    latitude: _Latitude
    longitude: _Longitude


class StepTable(_Table):
    """[[step]]: a step-down fix between the fix and the runway, by its distance from the fix or another place."""

    ident: _Ident | None = Field(None, description="a short text, as on the chart")
    distance_nm: Annotated[_Number, Field(gt=0.0, le=200.0)] = Field(
        description="nautical miles from the place, above 0 and up to 200"
    )
    origin: Literal["fix"] | PlaceTable | None = Field(
        None, alias="from", description='"fix", or a position { latitude = 46.2, longitude = -101.5 }'
    )
    latitude: _Latitude | None = None
    longitude: _Longitude | None = None
    at_or_above: _Altitude


class MissedApproachTable(_Table):
    """[missed_approach]: where the approach ends, by distance or by time, and what is climbed to."""

    at_nm: Annotated[_Number, Field(ge=0.0, le=50.0)] | None = Field(
        None, description="nautical miles before the runway's threshold, 0 to 50"
    )
    at_min: Annotated[_Number, Field(gt=0.0, le=30.0)] | None = Field(
        None, description="minutes from the final fix, above 0 and up to 30"
    )
    groundspeed_kt: Annotated[_Number, Field(ge=30.0, le=600.0)] | None = Field(
        None, description="knots from 30 to 600, the speed that at_min goes with"
    )
    climb_to_ft: _Altitude | None = None


class ArcTable(_Table):
    """[arc]: an arc that leads to the fix, between two radials of its station, in the order of flight."""

    ident: _Ident | None = Field(None, description="a short text, as on the chart")
    latitude: _Latitude
    longitude: _Longitude
    radius_nm: Annotated[_Number, Field(gt=0.0, le=100.0)] = Field(description="nautical miles, above 0 and up to 100")
    from_deg: _Course = Field(description="degrees magnetic from 0 to 360, the radial where the arc begins")
    to_deg: _Course = Field(description="degrees magnetic from 0 to 360, the radial where the arc ends")


class SourceTable(_Table):
    """[source]: where the values are from and when they are in force, so that an old file says so on the report."""

    name: _Ident | None = Field(None, description="a short text, such as the number of a coded cycle")
    in_force_from: Annotated[date, Field(strict=True)] | None = Field(
        None, description="a date such as 2026-04-16, without quotation marks: first day in force"
    )
    in_force_until: Annotated[date, Field(strict=True)] | None = Field(
        None, description="a date such as 2026-05-14, without quotation marks: first day no longer in force"
    )


def _required_by_kind(schema: dict[str, Any]) -> None:
    # a teardrop needs its outbound course, everything else its turn side: JSON Schema can say so, the models can't
    schema["if"] = {"properties": {"reversal": {"const": "teardrop"}}, "required": ["reversal"]}
    schema["then"] = {"properties": {"course": {"required": ["outbound_deg"]}}}
    schema["else"] = {"properties": {"course": {"required": ["turn_side"]}}}


class ProcedureFile(_Table):
    """A course reversal as charted. Courses are magnetic; altitudes feet, distances nautical miles, speeds knots."""

    model_config = ConfigDict(extra="forbid", frozen=True, json_schema_extra=_required_by_kind, title="Procedure file")

    title: Annotated[
        str, Field(min_length=1, max_length=200, pattern=r"^[^\x00-\x1f\x7f]*[^\s\x00-\x1f\x7f][^\x00-\x1f\x7f]*$")
    ] = Field(description="a line of text, as on the chart")
    reversal: Literal["procedure turn", "teardrop", "hold in lieu", "holding"] = Field(
        description='"procedure turn", "teardrop", "hold in lieu" or "holding"'
    )
    no_reversal_from: _Sectors | None = Field(None, description=_SECTORS)
    fix: FixTable
    course: CourseTable
    guidance: GuidanceTable
    limits: LimitsTable | None = None
    altitudes_ft: AltitudesTable | None = None
    protection: ProtectionTable | None = None
    runway: RunwayTable | None = None
    final_fix: FixTable | None = None
    step: Annotated[list[StepTable], Field(max_length=20)] | None = Field(
        None, description="one or more tables: [[step]]"
    )
    missed_approach: MissedApproachTable | None = None
    arc: ArcTable | None = None
    source: SourceTable | None = None


def procedure_schema() -> dict[str, Any]:
    """Return the JSON Schema of a procedure file, as published in `procedure.schema.json`."""
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **ProcedureFile.model_json_schema()}
    for table in (schema, *schema["$defs"].values()):
        for name, field in table["properties"].items():
            table["properties"][name] = _without_null(field)
    return schema


def _without_null(field: dict[str, Any]) -> dict[str, Any]:
    # TOML has no null: a key is there or left out, so the models' None must not show
    members = [member for member in field.get("anyOf", []) if member != {"type": "null"}]
    kept = {key: value for key, value in field.items() if key not in ("default", "title", "anyOf")}
    if len(members) == 1:
        return {**members[0], **kept}
    return {"anyOf": members, **kept} if members else kept


if __name__ == "__main__":
    import json
    from pathlib import Path

    target = Path(__file__).parents[2] / "shown" / "result" / "schemas" / "procedure.schema.json"
    target.write_text(json.dumps(procedure_schema(), indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
