"""Hypothesis strategies for bikes, entries and sessions, in one place."""

from datetime import UTC, datetime
from typing import get_args

from hypothesis import strategies as st

from tunekit import Bike, Session
from tunekit.data import table
from tunekit.session import Fitted, Heard, Measured, Noted, Told, Turned
from tunekit.session import vocabulary as words

WHEN = st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))
# Any text but lone surrogates, which no UTF-8 file can hold.
TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=60)


def teeth(low: int, high: int, most: int):
    return st.lists(st.integers(low, high), min_size=1, max_size=most, unique=True).map(
        lambda t: tuple(sorted(t))
    )


BIKES = st.builds(lambda rings, cogs: Bike(rings=rings, cogs=cogs), teeth(20, 60, 3), teeth(9, 50, 13))


def figures(what: str):
    """Every figure that a log takes for this word."""
    row = table("plausible")["measured"][what]
    low, high = row["never"]
    return st.integers(low, high).map(float) if row.get("whole") else st.floats(low, high, allow_nan=False)


@st.composite
def numbers(draw, bike: Bike):
    what = draw(st.sampled_from(sorted(set(get_args(words.MeasuredNumber)))))
    cog = draw(st.sampled_from((None, *bike.cogs)))
    return Measured(at=draw(WHEN), what=what, cog=cog, value=draw(figures(what)))


def measured(bike: Bike):
    return st.one_of(
        numbers(bike),
        st.builds(
            Measured, at=WHEN, what=st.sampled_from(sorted(words.YES_NO)), value=st.sampled_from((0, 1))
        ),
        st.builds(
            Measured, at=WHEN, what=st.just("hanger_rim_mm"), value=st.tuples(*[figures("hanger_rim_mm")] * 4)
        ),
    )


def turned():
    screws = [what for what in get_args(words.Turned) if what != "hanger"]
    return st.builds(Turned, at=WHEN, what=st.sampled_from(screws), amount=st.floats(-100, 100))


def entries(bike: Bike):
    """One entry that this bike can carry."""
    ring, cog = st.sampled_from((None, *bike.rings)), st.sampled_from((None, *bike.cogs))
    return st.one_of(
        st.builds(Told, at=WHEN, what=st.sampled_from(get_args(words.Told))),
        st.builds(
            Heard,
            at=WHEN,
            ring=ring,
            cog=cog,
            moment=st.sampled_from(get_args(words.Moment)),
            what=st.sampled_from(get_args(words.Heard)),
            side=st.sampled_from((None, "inboard", "outboard")),
        ),
        measured(bike),
        turned(),
        st.builds(Turned, at=WHEN, what=st.just("hanger")),
        st.builds(
            Fitted,
            at=WHEN,
            what=st.sampled_from(get_args(words.Fitted)),
            links=st.sampled_from((None, 108, 110)),
        ),
        st.builds(Noted, at=WHEN, text=TEXT),
    )


@st.composite
def sessions(draw):
    bike = draw(BIKES)
    log = draw(st.lists(entries(bike), max_size=8))
    return Session(title=draw(st.one_of(st.just(""), TEXT)), bike=bike, log=tuple(log))
