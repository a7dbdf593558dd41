"""Templates filled in, every text of the user's escaped."""

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined


@cache
def _environment() -> Environment:
    loader = PackageLoader("tunekit.show", "templates")
    return Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )


def rendered(template: str, **values: object) -> str:
    """`templates/TEMPLATE` with its gaps filled; raises jinja2's error on a gap that has no value."""
    return _environment().get_template(template).render(**values)
