"""Results as JSON: the keys are the attribute names, so a script and a test read the same words."""

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from pathlib import PurePath

import numpy as np
from pydantic import BaseModel


def plain(value: object) -> object:
    """The value as dicts, lists, texts and numbers; raises TypeError for anything that is no result."""
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json")
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray | np.generic):
        return value.tolist()
    if isinstance(value, tuple | list | set | frozenset):
        return [plain(item) for item in (value if isinstance(value, tuple | list) else sorted(value))]
    if isinstance(value, PurePath):
        return str(value)
    raise TypeError(f"{type(value).__name__} is not a result that can be shown as JSON")


def json_text(value: object) -> str:
    """The result as indented JSON text. A number that is not finite is our fault: ValueError."""
    return json.dumps(plain(value), indent=1, ensure_ascii=False, allow_nan=False)
