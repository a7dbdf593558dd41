"""What complaints say of causes: trade knowledge as levels, corrected by counts of known reports.

The log goes in, log odds of each cause come out, and for chances of causes the first steps that a master accepts.
"""

from tunekit.diagnosis.reports.counts import Counts, Known, Step, counted, read_counts, write_counts
from tunekit.diagnosis.reports.model import (
    Learned,
    Reported,
    cause_log_odds,
    learned_from,
    levels,
    reported,
    shipped,
    steps_by_custom,
)

__all__ = [
    "Counts",
    "Known",
    "Learned",
    "Reported",
    "Step",
    "cause_log_odds",
    "counted",
    "learned_from",
    "levels",
    "read_counts",
    "reported",
    "shipped",
    "steps_by_custom",
    "write_counts",
]
