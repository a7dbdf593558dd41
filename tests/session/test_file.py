"""The session file: every refusal in one sentence, saving whole or not at all, and the round trip."""

import copy
import errno
import json
import os

import pytest
from hypothesis import example, given, settings
from session_strategies import sessions

from tunekit import Bike, Session, SessionError, load_session, save_session
from tunekit.session import session_from_text, session_to_text
from tunekit.session.file import MAX_BYTES

GOOD = {
    "tunekit_session": 1,
    "title": "Red tourer",
    "bike": {"rings": [34, 50], "cogs": [11, 17, 28], "chain": {"speeds": 10, "links": 108}},
    "log": [
        {
            "kind": "heard",
            "at": "2026-11-25T10:02:00Z",
            "ring": 50,
            "cog": 17,
            "moment": "to_larger_cog",
            "what": "slow",
        },
        {"kind": "turned", "at": "2026-11-25T10:03:00Z", "what": "rear_barrel", "amount": 0.25},
    ],
}
DELETE = object()


def spoilt(path: str, value: object) -> str:
    """GOOD with one place changed, as text; NaN and infinity are written as JSON's loose readers do."""
    raw = copy.deepcopy(GOOD)
    place, *steps = [int(step) if step.isdigit() else step for step in path.split(".")][::-1]
    target = raw
    for step in reversed(steps):
        target = target[step]
    if value is DELETE:
        del target[place]
    else:
        target[place] = value
    return json.dumps(raw)


BAD = {
    "teeth not increasing": (
        "bike.cogs",
        [11, 28, 17],
        r"bike\.cogs must increase.*\(got 11, 28, 17\); list the teeth",
    ),
    "teeth twice": (
        "bike.rings",
        [34, 34],
        r"bike\.rings must increase",
    ),
    "no cogs": (
        "bike.cogs",
        [],
        r"bike\.cogs needs at least 1",
    ),
    "odd links": (
        "bike.chain.links",
        107,
        r"bike\.chain\.links must be an even number.*\(got 107\); count again",
    ),
    "negative length": (
        "bike.frame",
        {"chainstay_mm": -410},
        r"chainstay_mm must be at least 150 \(got -410",
    ),
    "a word for a number": (
        "bike.frame",
        {"chainstay_mm": "410"},
        r"chainstay_mm must be a number \(got 410\)",
    ),
    "half a tooth": (
        "bike.cogs",
        [11, 17.5, 28],
        r"bike\.cogs\[2\] must be a whole number",
    ),
    "a cog the cassette lacks": (
        "log.0.cog",
        12,
        r"log\[1\]\.cog must be one of the bike's cogs, 11, 17, 28 \(got 12\)",
    ),
    "a ring the crank lacks": (
        "log.0.ring",
        42,
        r"log\[1\]\.ring must be one of the bike's rings, 34, 50 \(got 42\)",
    ),
    "an unknown key": (
        "bike.colour",
        "red",
        r"bike\.colour is not a known key",
    ),
    "an unknown key in an entry": (
        "log.1.turns",
        2,
        r"log\[2\]\.turns is not a known key",
    ),
    "an unknown kind": (
        "log.0.kind",
        "smelled",
        r"log\[1\].*must be one of 'told', 'heard'",
    ),
    "no kind": (
        "log.0.kind",
        DELETE,
        r"log\[1\].*needs its 'kind'",
    ),
    "an unknown word": (
        "log.0.what",
        "squeaks",
        r"log\[1\]\.what must be 'clean'",
    ),
    "a missing bike": (
        "bike",
        DELETE,
        r"bike is missing; add it",
    ),
    "a missing amount": (
        "log.1.amount",
        DELETE,
        r"log\[2\] needs an amount for rear_barrel",
    ),
    "no time zone": (
        "log.0.at",
        "2026-11-25T10:02:00",
        r"log\[1\]\.at must name its time zone",
    ),
    "no time": (
        "log.0.at",
        "yesterday",
        r"log\[1\]\.at must be a date and time",
    ),
    "not a number": (
        "bike.frame",
        {"chainstay_mm": float("nan")},
        r"chainstay_mm must be|file must be whole JSON",
    ),
    "infinity": (
        "log.1.amount",
        float("inf"),
        r"amount must be|file must be whole JSON",
    ),
    "a later version": (
        "tunekit_session",
        3,
        r"tunekit_session must be 2 \(got 3\); update the tool",
    ),
    "a yes for a version": (
        "tunekit_session",
        True,
        r"tunekit_session must be 2 \(got True\); correct the number",
    ),
    "a version in words": (
        "tunekit_session",
        "one",
        r"tunekit_session must be 2",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_input_is_one_sentence_with_field_rule_value_and_remedy(name):
    path, value, sentence = BAD[name]
    with pytest.raises(SessionError, match=sentence) as caught:
        session_from_text(spoilt(path, value))
    text = str(caught.value)
    assert "\n" not in text
    assert text.endswith(".")
    assert "; " in text or ", so " in text
    assert len(text) < 600


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "whole JSON"),
        (b"nonsense", "whole JSON"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"[1, 2]", "tunekit_session is missing"),
        (b'"text"', "tunekit_session is missing"),
        (b"{}", "tunekit_session is missing"),
        (b"[" * 200_000, "endless nesting|whole JSON"),
        (json.dumps(GOOD).encode()[:-40], "whole JSON"),
        (json.dumps(GOOD).encode("utf-16"), "UTF-8"),
        (json.dumps(GOOD | {"title": "\ud800"}).encode(), "whole JSON .* an escaped character"),
        (b'{"tunekit_session": 1' + b"0" * 5000 + b"}", "whole JSON .* endless digits"),
    ],
)
def test_other_files_and_broken_ones_are_refused(tmp_path, content, sentence):
    path = tmp_path / "s.json"
    path.write_bytes(content)
    with pytest.raises(SessionError, match=sentence):
        load_session(path)


def test_a_byte_order_mark_of_some_editor_is_no_fault():
    assert session_from_text(json.dumps(GOOD).encode("utf-8-sig")) == session_from_text(json.dumps(GOOD))


def test_the_file_is_written_as_a_person_would_write_it():
    """A line for each part and each entry, an entry's kind first, and nothing of what was not said."""
    lines = session_to_text(session_from_text(json.dumps(GOOD))).splitlines()
    assert f'  "cogs": {GOOD["bike"]["cogs"]},' in lines
    entries = [line for line in lines if line.startswith('  {"kind": ')]
    assert len(entries) == len(GOOD["log"])
    assert not [line for line in entries if "null" in line]


def test_fifty_megabytes_of_nonsense_are_not_read(tmp_path):
    path = tmp_path / "s.json"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(SessionError, match=r"smaller than 2 MB \(got 50 MB\)"):
        load_session(path)
    with pytest.raises(SessionError, match="smaller than 2 MB"):
        session_from_text("x" * (MAX_BYTES + 1))


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(SessionError, match=r"none\.json cannot be read \(No such file or directory\)"):
        load_session(tmp_path / "none.json")
    with pytest.raises(SessionError, match=r"cannot be read \(embedded null byte\)"):
        load_session("a\0b")
    with pytest.raises(SessionError, match=r"cannot be read \(Is a directory\)"):
        load_session(tmp_path)


@settings(max_examples=60)
@given(session=sessions())
@example(session=Session(title="=1+1\n\"'<script>", bike=Bike(rings=(34,), cogs=(11, 12))))
def test_export_then_import_is_identity(session):
    text = session_to_text(session)
    assert session_from_text(text) == session
    assert session_to_text(session_from_text(text)) == text


def test_the_design_s_own_example_of_a_file_is_read(tmp_path):
    path = tmp_path / "s.json"
    path.write_text(json.dumps(GOOD), encoding="utf-8")
    session = load_session(path)
    save_session(session, path)
    assert load_session(path) == session
    assert list(json.loads(path.read_text())) == ["tunekit_session", "title", "bike", "log"]


OLD = Session(title="old", bike=Bike(rings=(34,), cogs=(11, 12)))
NEW = Session(title="new", bike=Bike(rings=(34,), cogs=(11, 12)))


def refuse(*_args, **_kwargs):
    raise OSError(errno.ENOSPC, "No space left on device")


class FullFile:
    """A file that takes a few bytes and then no more."""

    def __init__(self, file):
        self.file, self.flush, self.fileno = file, file.flush, file.fileno

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.file.close()

    def write(self, text):
        self.file.write(text[:10])
        refuse()


@pytest.mark.parametrize("failing", ["write", "fsync", "replace", "mkstemp"])
def test_a_save_that_fails_leaves_the_old_file_whole_and_nothing_else(tmp_path, monkeypatch, failing):
    path = tmp_path / "s.json"
    save_session(OLD, path)
    if failing == "write":
        opened = os.fdopen
        monkeypatch.setattr(os, "fdopen", lambda *a, **k: FullFile(opened(*a, **k)))
    else:
        monkeypatch.setattr("tempfile.mkstemp" if failing == "mkstemp" else f"os.{failing}", refuse)
    with pytest.raises(SessionError, match=r"cannot be written.*old file is untouched"):
        save_session(NEW, path)
    monkeypatch.undo()
    assert load_session(path) == OLD
    assert [file.name for file in tmp_path.iterdir()] == ["s.json"]


def test_saving_into_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(SessionError, match="cannot be written"):
        save_session(NEW, tmp_path / "none" / "s.json")
