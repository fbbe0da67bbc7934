"""The suite. NumPy's own threads are off, as in eyeline's workers: one a processor, they would wait for one
another several times as long as the small products of the networks take."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
