import sys
from pathlib import Path

from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parents[1] / "layout"))  # for laid.py and hills.py
settings.register_profile("estimate", deadline=None)  # a busy machine is no failure
settings.load_profile("estimate")
