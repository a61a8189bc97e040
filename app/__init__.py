"""The Mill Chemistry Ledger: from the bench to the morning report."""

import os

# requests are answered side by side; threads within one product of matrices only wait for another
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
