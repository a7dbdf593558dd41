"""What happened at the stand: six kinds of entry, in order."""

from datetime import UTC, datetime
from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, TypeAdapter, ValidationError, ValidationInfo, model_validator

from tunekit.bike.errors import SessionError, one_sentence
from tunekit.bike.model import Part, Teeth
from tunekit.session import vocabulary as words
from tunekit.session.possible import check_possible

RimReadings = Annotated[
    tuple[float, float, float, float],
    Field(strict=False, description="12, 3, 6 and 9 o'clock, mm gauge to rim"),
]


KEPT = {"kept": True}
"""Context for reading what the store holds: it was taken once, so a bound drawn since locks nobody out."""


def is_kept(info: ValidationInfo) -> bool:
    """Whether what is read was taken before, and is not to be held to today's bounds."""
    return bool(info.context) and info.context == KEPT


class Entry(Part):
    """Base of every entry: when it happened."""

    at: Annotated[AwareDatetime, Field(strict=False)] = Field(
        default_factory=lambda: datetime.now(UTC).replace(microsecond=0)
    )


class Told(Entry):
    """What the owner reports; it shifts the odds."""

    kind: Literal["told"] = "told"
    what: words.Told


class Heard(Entry):
    """What was heard or seen in a gear or a shift; ring or cog null means everywhere."""

    kind: Literal["heard"] = "heard"
    ring: Teeth | None = None
    cog: Teeth | None = None
    moment: words.Moment
    what: words.Heard
    side: words.Side | None = None
    per: words.Per | None = None


class Measured(Entry):
    """A gauge, a ruler or a hand test (1 yes, 0 no)."""

    kind: Literal["measured"] = "measured"
    what: words.Measured
    ring: Teeth | None = None
    cog: Teeth | None = None
    value: float | RimReadings
    sure: Literal[True] | None = None
    """True when a figure that no hand usually reads was asked about and stands all the same."""

    @model_validator(mode="before")
    @classmethod
    def _old_word(cls, given: object) -> object:
        """A word of version 1 that was renamed is read as the word of today."""
        if isinstance(given, dict) and given.get("what") in words.RENAMED:
            return {**given, "what": words.RENAMED[given["what"]]}
        return given

    @model_validator(mode="after")
    def _value_fits(self, info: ValidationInfo) -> Self:
        four = isinstance(self.value, tuple)
        if four != (self.what == "hanger_rim_mm"):
            raise ValueError(
                "takes four readings for hanger_rim_mm and one number otherwise; correct the value"
            )
        if self.what in words.YES_NO and self.value not in (0, 1):
            raise ValueError(f"needs 1 (yes) or 0 (no) for {self.what}; enter one of the two")
        if not is_kept(info):
            check_possible(
                "measured", self.what, self.value if isinstance(self.value, tuple) else (self.value,)
            )
        return self


class Turned(Entry):
    """A screw, barrel, step or bend; the amount's sign is the effect (see the vocabulary in the guide)."""

    kind: Literal["turned"] = "turned"
    what: words.Turned
    amount: Annotated[float, Field(ge=-100, le=100)] | None = None
    sure: Literal[True] | None = None
    """True when the hand stands by an amount that was questioned."""

    @model_validator(mode="after")
    def _amount_given(self) -> Self:
        if self.amount is None and self.what != "hanger":
            raise ValueError(
                f"needs an amount for {self.what}; enter how far it was turned, signed by its effect"
            )
        return self


class Fitted(Entry):
    """A part new, or put right."""

    kind: Literal["fitted"] = "fitted"
    what: words.Fitted
    ring: Teeth | None = None
    cog: Teeth | None = None
    links: Annotated[int, Field(ge=40, le=300)] | None = None


class Noted(Entry):
    """Free words of the mechanic, or a mark of the set-up walk."""

    kind: Literal["noted"] = "noted"
    text: Annotated[str, Field(min_length=1, max_length=2000)]
    walk: words.Walk | None = None
    """The set-up walk begun with this note."""
    step: Annotated[str, Field(pattern=r"^[a-z_]{1,40}$")] | None = None
    """The set-up step answered "not sure" with this note."""
    taken: Literal[True] | None = None
    """True when that step is taken as done without a look."""


LogEntry = Annotated[Told | Heard | Measured | Turned | Fitted | Noted, Field(discriminator="kind")]
_adapter: TypeAdapter[LogEntry] = TypeAdapter(LogEntry)


def make_entry(kind: str, **fields: object) -> LogEntry:
    """A checked entry of that kind, fields that are None left out; raises SessionError with one sentence."""
    given = {name: value for name, value in fields.items() if value is not None}
    try:
        return _adapter.validate_python({"kind": kind, **given})
    except ValidationError as error:
        raise SessionError(one_sentence(error).removeprefix(f"{kind}.").removeprefix(f"{kind} ")) from None
