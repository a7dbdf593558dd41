"""A fact as a sentence, from data/words/known.toml; every room that says one says it alike."""

from tunekit.data import phrase
from tunekit.known.facts import Fact


def fact_text(fact: Fact) -> str:
    """The fact in a few words, its figure beside it."""
    said = phrase("known", f"fact.{fact.name}")
    if fact.value is None or fact.limit is None or not fact.unit:
        return said
    figures = {"value": f"{fact.value:g}", "limit": f"{fact.limit:g}", "unit": fact.unit}
    return phrase("known", "figure", fact=said, **figures)


def fact_line(fact: Fact) -> str:
    """The fact with how bad it is before it: "Do not ride: the chain's joint is open"."""
    return f"{phrase('known', f'danger.{fact.danger}')}: {fact_text(fact)}"
