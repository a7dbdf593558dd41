"""What went wrong, in one sentence a mechanic can act on.

TunekitError            anything the user can put right
  SessionError          a session file, a bike or a log entry
  PlanError             a run plan
"""

import unicodedata
from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails


class TunekitError(ValueError):
    """One sentence: field, rule, value, what to do."""


class SessionError(TunekitError):
    """A session file, a bike or a log entry that cannot be used."""


class PlanError(TunekitError):
    """A run plan that cannot be used."""


_JOINER = "\u200d"
"""Zero-width joiner: it draws several signs as one, and steers nothing."""


def clean(value: object) -> str:
    """Text that a terminal and a UTF-8 file can take: what steers instead of being seen is spelt out, as \\x1b."""
    text = str(value)
    return text if text.isprintable() else "".join(_spelt(sign) for sign in text)


def _spelt(sign: str) -> str:
    steers = unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Zl", "Zp") and sign != _JOINER
    return sign.encode("unicode_escape").decode() if steers else sign


def shown(value: object, limit: int = 60) -> str:
    """The offending value, short enough for one line."""
    text = ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
    text = clean(" ".join(text.split()))
    return text if len(text) <= limit else f"{text[: limit - 1]}…"


def one_of(choices: Iterable[str]) -> str:
    """a, b or c"""
    names = list(choices)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


# Validators of ours raise ValueError("RULE; WHAT TO DO"), so that every rule is worded beside its check.
_RULES = {
    "missing": ("is missing", "add it"),
    "extra_forbidden": ("is not a known key", "remove it or check its spelling"),
    "greater_than": ("must be more than {gt}", "correct the number"),
    "greater_than_equal": ("must be at least {ge}", "correct the number"),
    "less_than": ("must be less than {lt}", "correct the number"),
    "less_than_equal": ("must be at most {le}", "correct the number"),
    "finite_number": ("must be a finite number", "measure again and enter the figure"),
    "int_type": ("must be a whole number", "enter digits only"),
    "int_from_float": ("must be a whole number", "enter digits only"),
    "float_type": ("must be a number", "enter digits only"),
    "string_type": ("must be text", "put it in quotes"),
    "literal_error": ("must be {expected}", "choose one of these"),
    "too_short": ("needs at least {min_length} entries", "add the missing ones"),
    "too_long": ("takes at most {max_length} entries", "remove some"),
    "string_too_long": ("takes at most {max_length} characters", "shorten it"),
    "union_tag_invalid": ("must be one of {expected_tags}", "choose one of these"),
    "union_tag_not_found": ("needs its 'kind'", "add the kind of entry"),
    "datetime_from_date_parsing": ("must be a date and time like 2026-11-25T10:00:00Z", "correct it"),
    "datetime_parsing": ("must be a date and time like 2026-11-25T10:00:00Z", "correct it"),
    "timezone_aware": ("must name its time zone", "end the time with Z or an offset like +01:00"),
    "model_type": ("must be a table of keys and values", "write it in braces"),
    "model_attributes_type": ("must be a table of keys and values", "write it in braces"),
    "tuple_type": ("must be a list", "write it in square brackets"),
}
_NO_VALUE = {"missing", "union_tag_not_found"}


def _path(details: ErrorDetails, whole: str) -> str:
    """bike.cogs, log[3].ring: the place as a person would point at it; `whole` where it is everything."""
    kinds = {"told", "heard", "measured", "turned", "fitted", "noted"}
    path = ""
    for step in details["loc"]:
        if isinstance(step, int):
            path += f"[{step + 1}]"
        elif step == "float" or step.startswith("tuple["):
            continue  # which of a value's two shapes was tried is no place in the file
        elif not (path.startswith("log[") and path.endswith("]") and step in kinds):
            path += f".{step}" if path else step
    return path or whole


def _whole(bounds: dict[str, Any]) -> dict[str, Any]:
    """A rule's bounds without idle decimals: 0, not 0.0."""
    return {
        name: int(value) if isinstance(value, float) and value.is_integer() else value
        for name, value in bounds.items()
    }


def one_sentence(error: ValidationError, whole: str = "file") -> str:
    """The first problem of a pydantic error as: field, rule, value, what to do."""
    details = error.errors(include_url=False)[0]
    kind, context = details["type"], details.get("ctx", {})
    if kind == "value_error":
        rule, _, remedy = str(context["error"]).partition("; ")
    else:
        rule, remedy = _RULES.get(kind, (details["msg"][:1].lower() + details["msg"][1:], "correct it"))
        rule = rule.format(**_whole(context)) if kind in _RULES else rule
    value = details["input"]
    is_table = isinstance(value, dict) or hasattr(value, "model_fields")
    got = "" if kind in _NO_VALUE or is_table else f" (got {shown(value)})"
    return f"{_path(details, whole)} {rule}{got}; {remedy or 'correct it'}."
