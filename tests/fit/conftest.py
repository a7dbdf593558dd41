"""Bikes of the invented community workshop, and any bike at all."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
