"""Linear algebra on one thread, for callers who did not ask for it themselves."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from threadpoolctl import ThreadpoolController

VARIABLES = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


@contextmanager
def one_thread() -> Iterator[None]:
    """Keep numpy's linear algebra to one thread; as it was afterwards.

    The matrices here are small. On a busy machine with two cores threads that wait for each other made an assessment
    take ten times as long (measured: 0.93 s against 0.10 s). The command sets the variables before numpy is loaded, and
    then there is nothing to do here.
    """
    if all(os.environ.get(name) == "1" for name in VARIABLES):
        yield
        return
    with _controller().limit(limits=1, user_api="blas"):
        yield


@lru_cache(maxsize=1)
def _controller() -> "ThreadpoolController":
    """Find the libraries once: it takes some milliseconds."""
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()
