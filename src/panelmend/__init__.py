"""panelmend: plans, prints and proves the bonded repair of a honeycomb sandwich panel."""

import time

__version__ = "0.1.0"
_BEGAN = time.time()  # s: code that was put on the disk later is not what runs
