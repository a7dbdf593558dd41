"""Any log gives an answer: empty, sparse, contradictory or huge, and every single word there is."""

import math
from typing import get_args

import numpy as np
import pytest

from tunekit.bike import Bike
from tunekit.bike.starters import starter, starter_names
from tunekit.data import table
from tunekit.diagnosis import Advice, advise
from tunekit.diagnosis.advise import _Answer
from tunekit.diagnosis.belief import believe
from tunekit.diagnosis.evidence import read
from tunekit.diagnosis.virtual import VirtualBike
from tunekit.session import LogEntry, Session, load_session, make_entry, save_session
from tunekit.session import vocabulary as words

SAYS_SO = 12
"""Hundredths of the logs' entries that a short run tries; the long run tries all."""


def checked(session: Session) -> Advice:
    """The advice, once it is seen to hold nothing but numbers, and a next step that the log can take."""
    found = advise(session)
    chances = [*(cause.probability for cause in found.causes), found.clear]
    assert all(0 <= p <= 1 for p in chances)
    numbers = [found.minutes_left, found.minutes_left_without_look, found.quiet_mm]
    numbers += [x for o in found.offsets for x in (o.mm, o.low_mm, o.high_mm, o.after_mm)]
    numbers += [evidence.factor for evidence in found.evidence]
    assert all(math.isfinite(x) for x in numbers)
    assert all(o.low_mm <= o.high_mm for o in found.offsets)
    for move in [m for m in (found.next, *found.runners_up) if m is not None]:
        assert move.why
        assert move.minutes > 0
        if move.what != "ride":
            session.with_entry(entry_of(move.kind, move.what, move.ring, move.cog, move.amount))
    return found


def entry_of(kind: str, what: str, ring: int | None, cog: int | None, amount: float | None) -> LogEntry:
    """What one would log after doing a move."""
    if kind == "measured":
        return make_entry(kind, what=what, ring=ring, cog=cog, value=_value(what))
    if kind == "turned":
        return make_entry(kind, what=what, amount=amount)
    return make_entry(kind, what=what, ring=ring, cog=cog)


def far_figures(what: str) -> tuple[float, ...]:
    """The smallest and the largest figure that a log takes for this word."""
    least, most = table("plausible")["measured"][what].get("never", (0.0, 100.0))
    return float(least), float(most)


def _value(what: str) -> object:
    if what == "hanger_rim_mm":
        return (10.0, 10.0, 12.0, 10.0)
    return 106.0 if what == "chain_length_links" else 1.0


def every_entry(bike: Bike) -> list[LogEntry]:
    """Each word at each moment, each fact, each measurement (both answers), each turn and each part, alone."""
    places = [(None, None), (bike.rings[-1], bike.cogs[len(bike.cogs) // 2]), (None, bike.cogs[-1])]
    heard = [
        make_entry("heard", ring=ring, cog=cog, moment=moment, what=what)
        for moment in get_args(words.Moment)
        for what in words.WHAT_BY_KIND["heard"]
        for ring, cog in places
    ]
    told = [make_entry("told", what=what) for what in words.WHAT_BY_KIND["told"]]
    fitted = [make_entry("fitted", what=what) for what in words.WHAT_BY_KIND["fitted"]]
    turned = [
        make_entry("turned", what=what, amount=None if what == "hanger" else amount)
        for what in words.WHAT_BY_KIND["turned"]
        for amount in (-3.0, 0.5)
    ]
    measured = [
        make_entry("measured", what=what, value=_value(what) if what == "hanger_rim_mm" else value)
        for what in words.WHAT_BY_KIND["measured"]
        for value in ((0.0, 1.0) if what in words.YES_NO else far_figures(what))
    ]
    return [*heard, *told, *fitted, *turned, *measured]


def test_an_empty_log_asks_for_a_ride_of_few_gears(bike: Bike) -> None:
    found = checked(Session(bike=bike))
    assert found.next is not None
    assert (found.next.kind, found.next.what) == ("heard", "ride")
    assert 2 <= len(found.next.gears) <= 6


@pytest.mark.parametrize("name", starter_names())
def test_any_single_entry_is_answered(name: str) -> None:
    bike = starter(name)
    entries = every_entry(bike)
    rng = np.random.default_rng([8, starter_names().index(name)])
    for number in rng.choice(len(entries), SAYS_SO, replace=False):
        checked(Session(bike=bike, log=(entries[number],)))


@pytest.mark.slow
@pytest.mark.parametrize("name", starter_names())
def test_every_single_entry_is_answered(name: str) -> None:
    bike = starter(name)
    for entry in every_entry(bike):
        checked(Session(bike=bike, log=(entry,)))


@pytest.mark.parametrize("entries", [200, pytest.param(5000, marks=pytest.mark.slow)])
def test_a_huge_log_is_answered(entries: int) -> None:
    bike = starter("road-double-11")
    all_there_are = every_entry(bike)
    rng = np.random.default_rng(9)
    log = tuple(all_there_are[n] for n in rng.integers(len(all_there_are), size=entries))
    checked(Session(bike=bike, log=log))


def test_contradictions_are_kept_named_and_set_aside() -> None:
    bike = starter("trail-single-12")
    log = (
        make_entry("heard", moment="pedalling", what="rubs_cage"),
        make_entry("heard", cog=bike.cogs[3], moment="to_larger_cog", what="slow"),
        make_entry("heard", cog=bike.cogs[3], moment="to_larger_cog", what="clean"),
        make_entry("measured", what="cable_slack", value=1),
        make_entry("measured", what="cable_slack", value=0),
    )
    found = checked(Session(bike=bike, log=log))
    assert [aside.entry for aside in found.set_aside] == [0, 1, 3]
    assert all(aside.why.endswith(".") for aside in found.set_aside)


def test_rides_that_disagree_both_count_and_none_is_set_aside() -> None:
    bike = starter("trail-single-12")
    ride = [make_entry("heard", cog=cog, moment="pedalling_hard", what="clean") for cog in bike.cogs]
    skips = make_entry("heard", cog=bike.cogs[3], moment="pedalling_hard", what="skip")
    troubled = [*ride[:3], skips, *ride[4:]]
    worn = {}
    for name, log in (("once", troubled), ("both", troubled + ride), ("twice", troubled * 2)):
        found = checked(Session(bike=bike, log=tuple(log)))
        assert not found.set_aside
        worn[name] = {cause.name: cause.probability for cause in found.causes}.get("cog_worn", 0.0)
    assert worn["both"] < worn["once"] < worn["twice"]


def test_a_complaint_has_a_reason() -> None:
    # A single cog that skips under load, its neighbours quiet: a worn cog (common practice), not a slip of the ear.
    bike = starter("road-double-11")
    at = bike.cogs.index(17)
    log = (
        make_entry("heard", cog=17, moment="pedalling_hard", what="skip"),
        *(make_entry("heard", cog=bike.cogs[at + n], moment="pedalling_hard", what="clean") for n in (-1, 1)),
        make_entry("heard", cog=17, moment="pedalling", what="clean"),
        make_entry("measured", what="chain_wear_pct", value=0.3),
    )
    found = advise(Session(bike=bike, log=log))
    assert found.causes[0].name == "cog_worn"
    assert (found.next.kind, found.next.what, found.next.cog) == ("measured", "worn_cog", 17)  # type: ignore[union-attr]


@pytest.mark.xfail(
    strict=False, reason="since complaints weigh as learned: odds of reports outvote this pattern"
)
def test_one_gear_named_on_every_ride_counts_among_slips_that_change() -> None:
    bike = starter("trail-single-12")
    slips = ["rattle", "wanders", "rumble", "grinds"]
    rides = [
        [
            make_entry("heard", cog=bike.cogs[3], moment="pedalling_hard", what="skip"),
            *(
                make_entry("heard", cog=bike.cogs[(5 * ride + 2 * n) % 12], moment="pedalling", what=what)
                for n, what in enumerate(slips)
            ),
        ]
        for ride in range(4)
    ]
    found = [
        {cause.name: cause.probability for cause in checked(Session(bike=bike, log=tuple(log))).causes}
        for log in (rides[0], [entry for ride in rides for entry in ride])
    ]
    assert found[1]["cog_worn"] > 5 * found[0].get("cog_worn", 0.001)
    assert found[1]["cog_worn"] > 0.3


def test_an_ear_that_errs_the_same_way_each_time_is_not_believed_more_for_it() -> None:
    # After work two rides say word for word the same, five troubles here and there among them: slips of one ear, since
    # no fault brings forth just these. Where the five are others on the second ride, the ear errs anew.
    bike = starter("trail-single-12")
    moments = ("to_larger_cog", "pedalling", "pedalling_hard")

    def ride(first: int) -> list[LogEntry]:
        slips = {(first, "to_larger_cog"): "too_far", (first + 4, "pedalling"): "grinds"}
        slips |= {(first + 6, "pedalling"): "rattle", (first + 2, "pedalling_hard"): "wanders"}
        return [
            make_entry("heard", cog=cog, moment=moment, what=slips.get((place, moment), "clean"))
            for moment in moments
            for place, cog in enumerate(bike.cogs)
        ]

    work = (
        make_entry("heard", moment="pedalling", what="tick", per="chain"),
        make_entry("fitted", what="stiff_link"),
    )
    once, alike, changed = (
        checked(Session(bike=bike, log=(*work, *ride(1), *more))).clear for more in ([], ride(1), ride(3))
    )
    assert once > 0.5
    assert alike > 0.9 * once
    assert changed > once


@pytest.mark.parametrize(
    ("moment", "what", "look"),
    [
        ("to_smaller_ring", "fell_inside", "front_inner_gap_mm"),
        ("to_larger_ring", "fell_outside", "front_outer_gap_mm"),
        ("to_larger_cog", "fell_inside", "low_limit_offset_mm"),
        ("to_smaller_cog", "fell_outside", "high_limit_offset_mm"),
    ],
)
def test_before_a_bike_is_called_right_the_stop_past_which_a_chain_fell_is_seen_to(
    moment: str, what: str, look: str
) -> None:
    bike = starter("road-double-11")
    clean = tuple(
        make_entry("heard", cog=cog, moment=good, what="clean")
        for _ in range(4)
        for cog in bike.cogs[1:-1]
        for good in ("to_larger_cog", "to_smaller_cog", "pedalling")
    )

    def last_look(*entries: LogEntry) -> str | None:
        session = Session(bike=bike, log=(*clean, *entries))
        evidence = read(session)
        move = _Answer(session, evidence, believe(bike, evidence))._thrown()
        return None if move is None else move.what

    thrown, seen = make_entry("heard", moment=moment, what=what), make_entry("measured", what=look, value=0.5)
    assert last_look() is None
    assert last_look(thrown) == look
    assert last_look(thrown, seen) is None


def test_a_ride_names_its_gears_until_the_end() -> None:
    bike = starter("road-double-11")
    swept = [
        make_entry("heard", cog=cog, moment=moment, what="clean")
        for cog in bike.cogs
        for moment in ("to_larger_cog", "to_smaller_cog", "pedalling")
        if (cog, moment) not in {(bike.cogs[0], "to_larger_cog"), (bike.cogs[-1], "to_smaller_cog")}
    ]
    slow = make_entry("heard", cog=bike.cogs[4], moment="to_larger_cog", what="slow")
    found = advise(
        Session(bike=bike, log=(slow, make_entry("turned", what="rear_barrel", amount=0.25), *swept, slow))
    )
    rides = [move for move in (found.next, *found.runners_up) if move is not None and move.what == "ride"]
    assert rides
    assert all(move.gears for move in rides)


def test_the_same_session_gives_the_same_advice(tmp_path: object) -> None:
    bike = starter("road-double-11")
    rider = VirtualBike(bike, 2, np.random.default_rng(10))
    log = (*rider.ride(True), make_entry("turned", what="rear_barrel", amount=0.5), *rider.ride(True))
    session = Session(bike=bike, log=log)
    first = advise(session)
    assert all(advise(session, seed=seed) == first for seed in range(20))
    path = tmp_path / "bike.json"  # type: ignore[operator]
    save_session(session, path)
    assert advise(load_session(path)) == first
