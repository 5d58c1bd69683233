from .entry_sectors import SECTOR_LINE_DEG as SECTOR_LINE_DEG, entry_sector as entry_sector
from .needle import (
    deflection as deflection,
    full_scale_m as full_scale_m,
    in_cone as in_cone,
    near_station as near_station,
    off_course_m as off_course_m,
    passage_radius_m as passage_radius_m,
)
from .paths import (
    NominalPath as NominalPath,
    default_method as default_method,
    nominal_path as nominal_path,
    nominal_paths as nominal_paths,
)
from .plan import Plan as Plan, plan_of as plan_of
from .protection.area import Area as Area
from .protection.build import protection_areas as protection_areas
from .protection.design_altitude import design_altitude_m as design_altitude_m
from .protection.icao.design_conditions import cone_radius_m as cone_radius_m
from .protection.margins import (
    OutsideStretch as OutsideStretch,
    line_margins_m as line_margins_m,
    outside_stretches as outside_stretches,
    point_margins_m as point_margins_m,
)
from .protection.room_left import RoomLeft as RoomLeft, room_left as room_left
from .solver.solve import Asked as Asked
from .solver.values import (
    Condition as Condition,
    LegEnd as LegEnd,
    NoPlan as NoPlan,
    PathLeg as PathLeg,
    RuleOfThumb as RuleOfThumb,
    SolvedPlan as SolvedPlan,
)
