"""What holds for all tests.

Set before numpy is first imported: small matrices are slower on two busy cores than on one.
Property tests try the same cases on every machine, so that a pass is a pass; with
HILLWRIGHT_EXPLORE=1 they look for new ones.
"""

import os
from functools import cache
from pathlib import Path

import pytest

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hypothesis import settings

# a busy machine is no failure: no deadline
settings.register_profile("house", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None)
settings.load_profile("explore" if os.environ.get("HILLWRIGHT_EXPLORE") else "house")

EXAMPLES = Path(__file__).parents[1] / "examples"


@cache
def _worked(name):
    from hillwright.job.read import open_job
    from hillwright.plan import work_out

    return work_out(open_job(EXAMPLES / name / "job.toml"))


@pytest.fixture(scope="session")
def worked():
    """Give the plan of an example by its name, worked out once."""
    return _worked


@pytest.fixture(params=["bracken-bank", "quarry-garden", "long-meadow"])
def example(request):
    """Every example's plan in turn."""
    return _worked(request.param)
