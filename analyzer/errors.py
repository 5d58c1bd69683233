"""The exception tree: one base, one class for each kind of bad input."""


class ReversalDebriefError(Exception):
    """Base of all errors that this package raises on purpose.

    The text is one line: file, place in it, what is wrong, what would be right. Only the command line turns it
    into an exit code.
    """


class TrackFileError(ReversalDebriefError):
    """A track file can't be read, or holds nothing that can be assessed."""


class ProcedureFileError(ReversalDebriefError):
    """A procedure file has a wrong key, type or value."""


class ClearanceFileError(ReversalDebriefError):
    """A clearance file has a wrong key, type or value."""


class ToleranceFileError(ReversalDebriefError):
    """A file of tolerances or of a self-assessment has a wrong key, type or value."""


class CodedProcedureError(ReversalDebriefError):
    """A coded procedure can't be read or holds no course reversal."""


class OptionError(ReversalDebriefError):
    """An option of the call is wrong or contradicts another."""


class OutputError(ReversalDebriefError):
    """An output file can't be written."""


class DeskError(ReversalDebriefError):
    """The desk's folder can't be opened, or a record in it can't be made, found or changed as asked."""
