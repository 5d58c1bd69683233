"""A lesson on its way: as one page to hand over, as an archive that another desk takes in."""
