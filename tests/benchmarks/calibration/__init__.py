"""Whether the stated doubts are true: errors over their own 1 sigma, by interval and by kind of columns."""

import os

# see `tests.benchmarks.accuracy`: threads would only contend
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
