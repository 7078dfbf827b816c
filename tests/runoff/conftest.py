import sys
from pathlib import Path

from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))  # for hillside.py
settings.register_profile("runoff", deadline=None)  # a busy machine is no failure
settings.load_profile("runoff")
