"""Does it go together: findings, chain length, and what a swap changes."""

from tunekit.fit.report import ChainAdvice, Finding, FitReport, RuleLength, SetAgain, SwapReport

__all__ = ["ChainAdvice", "Finding", "FitReport", "RuleLength", "SetAgain", "SwapReport"]
