"""A fact as a sentence, from data/words/known.toml; every room that says one says it alike."""

from tunekit.bike import Bike
from tunekit.data import phrase, table
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


def look_text(what: str, bike: Bike, cog: int | None = None, ring: int | None = None) -> str:
    """How a look is taken on this bike: a motor is never pushed. Its largest cog and ring where none is named."""
    word = table("words/vocabulary")["measured"][what]
    motor = bike.rear.actuation == "electronic"
    ways = ("ask_motor", "read_motor", "ask", "read") if motor else ("ask", "read")
    how = next(word[way] for way in ways if way in word)
    return str(how).format(cog=cog or bike.cogs[-1], ring=ring or bike.rings[-1])
