import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))  # for plantedhill.py, the cells that tests share
