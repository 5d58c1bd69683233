"""The invented place, its procedures and the flights there, flown anew from a seed."""
