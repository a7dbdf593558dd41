"""What is known to be wrong: facts that outrank odds, one list for every page and command."""

from tunekit.known.facts import Fact, Remedy, barred, known, low_stop_holds, past_limit
from tunekit.known.wording import fact_line, fact_text, look_text

__all__ = [
    "Fact",
    "Remedy",
    "barred",
    "fact_line",
    "fact_text",
    "known",
    "look_text",
    "low_stop_holds",
    "past_limit",
]
