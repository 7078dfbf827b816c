"""What holds for all tests.

Set before numpy is first imported: small matrices are slower on two busy cores than on one.
Property tests try the same cases on every machine, so that a pass is a pass; with
HILLWRIGHT_EXPLORE=1 they look for new ones.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hypothesis import settings

# a busy machine is no failure: no deadline
settings.register_profile("house", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None)
settings.load_profile("explore" if os.environ.get("HILLWRIGHT_EXPLORE") else "house")
