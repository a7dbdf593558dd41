"""How far from its target a figure may be, in words; one form on page and in the shell."""

from functools import partial

from tunekit.data import phrase
from tunekit.setup import Target
from tunekit.setup.targets import value_text

say = partial(phrase, "setup")


def span_text(target: Target) -> str:
    """ "5 to 7 mm", "½ to 3 turns", "3 steps or more"; "" where no bound is known or only one figure will do."""
    low = None if target.low is None else value_text(target.low, target.unit)
    high = None if target.high is None else value_text(target.high, target.unit)
    if low == high:
        return ""
    if low is None or high is None:
        return say("page.at_most", high=high) if low is None else say("page.at_least", low=low)
    return say(
        "page.between",
        low=low.removesuffix(target.unit).rstrip() if target.unit != "turns" else low.split(" ")[0],
        high=high,
    )
