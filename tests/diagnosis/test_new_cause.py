"""Adding a cause is one entry of a table (DEVELOPERS.md): with it, its words and its look lead to it and its repair."""

from collections.abc import Callable

import pytest

from tunekit.bike.starters import starter
from tunekit.data import table
from tunekit.diagnosis import advise
from tunekit.session import Session, make_entry

CAUSE = {
    "room": "rear",
    "prior": 12,
    "told": {"stored": 4},
    "says": [
        {"at": ["coasting"], "words": {"clanks": 0.8}},
        {"at": ["over_bumps"], "words": {"clanks": 0.7}},
    ],
    "finds": {"cogs_move": 0.9},
    "mends": {"fitted.lockring": 0.95},
    "status": "invented for this test",
}


@pytest.mark.xfail(
    strict=False, reason="since complaints weigh as learned: odds of reports outvote this pattern"
)
def test_one_entry_adds_a_cause(fresh_tables: Callable[[], None]) -> None:
    log = (
        make_entry("told", what="stored"),
        make_entry("heard", moment="coasting", what="clanks"),
        make_entry("heard", moment="over_bumps", what="clanks"),
        make_entry("heard", moment="pedalling", what="clean"),
        make_entry("measured", what="cogs_move", value=1),
    )
    session = Session(bike=starter("road-double-11"), log=log)
    assert "cassette_nut_cracked" not in table("causes")
    table("causes")["cassette_nut_cracked"] = CAUSE
    table("words/vocabulary")["cause"]["cassette_nut_cracked"] = {"label": "Cracked nut on the cassette"}
    found = advise(session)
    assert found.causes[0].name == "cassette_nut_cracked"
    assert found.next is not None
    steps = [(move.kind, move.what) for move in (found.next, *found.runners_up)]
    assert ("fitted", "lockring") in steps
