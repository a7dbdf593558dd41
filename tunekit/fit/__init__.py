"""Does it go together: findings, chain length, and what a swap changes."""

from tunekit.fit.chain import size_chain
from tunekit.fit.check import check_fit
from tunekit.fit.line import Chainlines, chainlines
from tunekit.fit.report import ChainAdvice, Finding, FitReport, RuleLength, SetAgain, SwapReport
from tunekit.fit.swap import swap

__all__ = [
    "ChainAdvice",
    "Chainlines",
    "Finding",
    "FitReport",
    "RuleLength",
    "SetAgain",
    "SwapReport",
    "chainlines",
    "check_fit",
    "size_chain",
    "swap",
]
