"""Entries, the session and reading rides back out of the log."""

import pytest
from pydantic import ValidationError

from tunekit import Bike, Session, SessionError
from tunekit.session import Heard, make_entry
from tunekit.session.rides import awaits_ride, last_ride, not_sure_since_change, open_troubles

TOURER = Session(bike=Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28)))


def heard(what: str, cog: int = 17, moment: str = "to_larger_cog") -> Heard:
    return make_entry("heard", ring=50, cog=cog, moment=moment, what=what)


TURN = make_entry("turned", what="rear_barrel", amount=0.25)
NOT_SURE = make_entry("noted", text="Not sure.", step="cable_drag")


@pytest.mark.parametrize(
    ("kind", "fields", "sentence"),
    [
        ("heard", {"moment": "pedalling"}, "what is missing"),
        ("heard", {"moment": "sleeping", "what": "slow"}, "moment must be 'to_larger_cog'"),
        ("measured", {"what": "cable_drag", "value": 2}, r"needs 1 \(yes\) or 0 \(no\) for cable_drag"),
        ("measured", {"what": "hanger_rim_mm", "value": 3.0}, "takes four readings"),
        ("measured", {"what": "pulley_gap_mm", "value": (1.0, 2.0, 3.0, 4.0)}, "takes four readings"),
        ("measured", {"what": "pulley_gap_mm", "value": float("nan")}, "finite|number"),
        ("turned", {"what": "rear_barrel"}, "needs an amount for rear_barrel"),
        ("turned", {"what": "rear_barrel", "amount": 1000.0}, "amount must be at most 100"),
        ("noted", {"text": ""}, "text"),
        ("noted", {"text": "x" * 2001}, "text takes at most 2000 characters"),
        ("sung", {}, "kind|must be one of"),
    ],
)
def test_a_bad_entry_is_one_sentence(kind, fields, sentence):
    with pytest.raises(SessionError, match=sentence) as caught:
        make_entry(kind, **fields)
    assert "\n" not in str(caught.value)
    assert "ValidationError" not in str(caught.value)


def test_the_hanger_needs_no_amount():
    assert make_entry("turned", what="hanger").amount is None


def test_an_odd_chain_is_refused():
    with pytest.raises(SessionError, match=r"links must be even \(got 107\)"):
        TOURER.with_entry(make_entry("fitted", what="chain", links=107))


def test_a_session_is_not_changed_in_place():
    longer = TOURER.with_entry(TURN)
    assert (len(TOURER.log), len(longer.log)) == (0, 1)
    assert longer.undone() == TOURER
    with pytest.raises(ValidationError, match="frozen"):
        TOURER.title = "other"


class TestRides:
    def test_a_ride_is_what_was_heard_since_the_last_change(self):
        log = (heard("slow"), TURN, heard("clean"), heard("rattle", moment="pedalling"))
        assert last_ride(log) == log[2:]
        assert last_ride((heard("slow"), TURN)) == ()

    def test_a_trouble_is_open_until_the_same_place_is_good(self):
        slow, rattle = heard("slow"), heard("rattle", moment="pedalling")
        assert open_troubles((slow, rattle, TURN)) == (slow, rattle)
        assert open_troubles((slow, rattle, TURN, heard("clean"))) == (rattle,)

    @pytest.mark.parametrize(
        ("log", "waits"),
        [
            ((), False),
            ((heard("slow"),), False),
            ((heard("slow"), TURN), True),
            ((heard("slow"), TURN, make_entry("noted", text="Lunch")), True),
            ((heard("slow"), TURN, heard("clean")), False),
            ((TURN, make_entry("measured", what="cable_drag", value=1)), False),
        ],
    )
    def test_a_change_wants_a_ride(self, log, waits):
        assert awaits_ride(log) is waits

    def test_not_sure_holds_until_the_bike_is_changed(self):
        assert not_sure_since_change((NOT_SURE, heard("slow"))) == ("cable_drag",)
        assert not_sure_since_change((NOT_SURE, TURN)) == ()


@pytest.mark.parametrize(
    ("entries", "links"),
    [
        ([], None),
        ([("fitted", {"what": "chain", "links": 108})], 108),
        ([("measured", {"what": "chain_length_links", "value": 106})], 106),
        ([("fitted", {"what": "chain", "links": 108}), ("fitted", {"what": "chain"})], None),
        ([("measured", {"what": "chain_length_links", "value": 107})], None),
        ([("fitted", {"what": "chain", "links": 110}), ("fitted", {"what": "chain", "links": 108})], 108),
    ],
    ids=["nothing", "fitted", "counted", "fitted-uncounted", "miscounted", "last"],
)  # fmt: skip
def test_the_bike_now_wears_the_chain_that_was_last_counted_or_fitted(entries, links):
    session = TOURER
    for kind, fields in entries:
        session = session.with_entry(make_entry(kind, **fields))
    assert session.bike_now.chain.links == links
    assert session.bike == TOURER.bike
