"""Where each screw should stand on this bike: one truth for walk, fit and diagnosis."""

from tunekit.targets.marks import Mark, most_between_looks, target_of, until

__all__ = ["Mark", "most_between_looks", "target_of", "until"]
