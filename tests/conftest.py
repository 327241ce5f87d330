"""One thread of linear algebra a process, for all tests.

Tests run in two processes. Where each solves with two threads of its own on two cores, threads
wait for each other and finite elements take twice the processor time. The library reads its
environment when it is loaded, so this stands before anything that loads numpy.
"""

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
