"""How right the analyzer is, on some hundred flights whose truth is known."""

import os

# one thread for linear algebra in each process: the processes are the parallel part, threads would only contend.
# It counts only where it is set before numpy is imported, so it stands here.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
