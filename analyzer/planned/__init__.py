"""What was asked for: paths, plans for a wind, needle, entry sectors, protected areas."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
