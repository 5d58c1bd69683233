"""Exact factors, courses and angles, arrays, and the words for numbers; imports nothing of ours."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
