"""Every published rule's answer, in words: its length, how it was made even, and whose it is."""

from tunekit.bike import Bike
from tunekit.fit.limits import words
from tunekit.fit.report import RuleLength
from tunekit.mechanics import chain_length
from tunekit.targets.chain_rules import Raw, pair_rule, raw_lengths


def rule_lengths(bike: Bike, least: int) -> tuple[RuleLength, ...]:
    """Every rule's answer for the largest ring and cog; the rule for this bike is marked, as is one below `least`."""
    applies = pair_rule(bike)
    return tuple(_rule_length(name, raw, applies == name, least) for name, raw in raw_lengths(bike).items())


def _rule_length(name: str, raw: Raw, applies: bool, least: int) -> RuleLength:
    raw_links, rounding = raw
    links = int(chain_length.rounded(raw_links, rounding))
    return RuleLength(
        name=name,
        rule=words(f"chain.rule.{name}"),
        rounding=rounding.value,
        raw_links=raw_links,
        links=links,
        source=words(f"chain.source.{name}"),
        applies=applies,
        safe=links >= least,
    )
