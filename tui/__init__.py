"""The command line and the screens."""

import os

# Before numpy is loaded: matrices here have at most some hundred rows, over which threads only get in each other's way.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
