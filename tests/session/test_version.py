"""Version 2 only adds: a file or dict of version 1 opens as it stands and means what it meant."""

import json

import pytest

from tunekit import Session
from tunekit.session.file import session_from_text, session_to_text
from tunekit.session.samples import sample_paths


@pytest.mark.parametrize("path", sample_paths(), ids=lambda path: path.stem)
def test_every_sample_as_version_1_opens_and_means_the_same(path) -> None:
    now = session_from_text(path.read_text(encoding="utf-8"))
    old = {**json.loads(path.read_text(encoding="utf-8")), "tunekit_session": 1}
    assert session_from_text(json.dumps(old)) == now
    assert Session.model_validate(old) == now
    assert now.tools == "stand"


def test_newer_words_are_taken_from_a_dict_that_calls_itself_version_1() -> None:
    bike = {"rings": [34, 50], "cogs": [11, 13, 15], "control": "friction"}
    at = "2026-02-01T10:00:00Z"
    log = [
        {"kind": "heard", "at": at, "moment": "starting", "what": "no_drive"},
        {"kind": "measured", "at": at, "what": "crash_reset_known", "value": 1},
    ]
    session = Session.model_validate({"tunekit_session": 1, "bike": bike, "log": log})
    assert session.bike.control == "friction"
    assert session.log[1].what == "knock_reset_known"
    assert '"tunekit_session": 2' in session_to_text(session)
