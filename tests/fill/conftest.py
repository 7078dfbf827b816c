import sys
from pathlib import Path

# for boxes.py here, and laid.py and hills.py: cells and grounds that tests share
sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "layout"))
