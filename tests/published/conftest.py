"""Lets the files here import their shared record by name (pytest's importlib mode leaves sys.path alone)."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
