from .clearance_file import (
    ClearanceAsked as ClearanceAsked,
    clearance_asked as clearance_asked,
    clearance_of_flight as clearance_of_flight,
    merged_clearance as merged_clearance,
    read_clearance as read_clearance,
)
from .coded.interpretation import CodedReversal as CodedReversal
from .coded.procedures import (
    coded_procedure as coded_procedure,
    procedure_file_from_coded as procedure_file_from_coded,
    procedures as procedures,
)
from .coded.proposals import proposals as proposals
from .coded.stored_index import open_coded_file as open_coded_file
from .explanation import explained as explained
from .procedure_file.problems import procedure_problems as procedure_problems
from .procedure_file.read import (
    parsed_procedure as parsed_procedure,
    procedure_from_mapping as procedure_from_mapping,
    read_procedure as read_procedure,
)
from .track_file import (
    LARGEST_FILE_BYTES as LARGEST_FILE_BYTES,
    read_bytes as read_bytes,
    read_track as read_track,
    read_track_bytes as read_track_bytes,
)
from .wording import plain as plain
