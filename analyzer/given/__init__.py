"""What is handed in, as frozen values checked at birth: track, procedure, wind, options, the plane about the fix."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
