import sys
from pathlib import Path

from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))  # for hills.py, the grounds that tests share
settings.register_profile("layout", deadline=None)  # a busy machine is no failure
settings.load_profile("layout")
