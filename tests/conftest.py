"""For all tests: many small matrices, on which threads cost more than they bring."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
