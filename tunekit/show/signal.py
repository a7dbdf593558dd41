"""Signal words as they are shown."""

SIGNAL = {"WARNING": "⚠ WARNING", "CAUTION": "⚠ CAUTION", "NOTICE": "NOTICE"}
"""Gravest first (ANSI Z535.6). The triangle warns of injury only, so NOTICE goes without."""
