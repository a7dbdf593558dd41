"""Where each screw should stand on this bike: one truth for walk, fit and diagnosis."""

from tunekit.targets.chain import ChainLengths, chain_lengths
from tunekit.targets.marks import Mark, most_between_looks, target_of, until
from tunekit.targets.readings import Target, class_line, target

__all__ = [
    "ChainLengths",
    "Mark",
    "Target",
    "chain_lengths",
    "class_line",
    "most_between_looks",
    "target",
    "target_of",
    "until",
]
