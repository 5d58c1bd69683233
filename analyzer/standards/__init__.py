"""Every published figure once, each with its source; tolerance sets, atmosphere and magnetic model."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
