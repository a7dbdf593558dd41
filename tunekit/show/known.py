"""What is known and what keeps a bike from being handed over, as lines that are the same everywhere."""

from tunekit.data import phrase
from tunekit.known import Fact, fact_line, known
from tunekit.session import Session
from tunekit.setup.records import Walk


def known_lines(facts: tuple[Fact, ...]) -> list[str]:
    """One line a fact, the worst first."""
    return [fact_line(fact) for fact in facts]


def unfinished_lines(walk: Walk, session: Session) -> list[str]:
    """One line for each thing that keeps the bike from being handed over."""
    facts = {fact.name: fact_line(fact) for fact in known(session)}
    return [
        phrase("sheet", f"unfinished.{thing.kind}", name=_name(thing.name, walk, facts))
        for thing in walk.unfinished
    ]


def _name(name: str, walk: Walk, facts: dict[str, str]) -> str:
    step = walk.step(name)
    return facts.get(name) or (step.title if step else name.replace("_", " ").capitalize())


def verdict_text(walk: Walk, session: Session) -> str:
    """Handed over, not finished, or not to be ridden."""
    stop = any(fact.danger == "stop" for fact in known(session))
    refused = any(step.confirm and step.value == 0 for step in walk.steps)
    key = "done" if walk.handed_over else "failed" if stop or refused else "open"
    return phrase("sheet", f"handover.{key}")
