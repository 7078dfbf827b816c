"""Set before numpy is first imported: small matrices are slower on two busy cores than on one."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
