"""The sample sessions: made with the tool, loadable, of every kind, and worth advice."""

from pathlib import Path

import make_samples
import pytest

import tunekit
from tunekit.session.samples import sample_paths
from tunekit.setup import setup_steps

PATHS = sample_paths()


def test_the_samples_are_what_the_tool_leaves_behind(tmp_path: Path) -> None:
    """Run tests/samples/make_samples.py when this fails for a good reason."""
    make_samples.make(tmp_path)
    made = {path.name: path.read_text(encoding="utf-8") for path in tmp_path.glob("*.json")}
    assert made == {path.name: path.read_text(encoding="utf-8") for path in PATHS}


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_a_sample_loads_and_gives_advice(path: Path) -> None:
    session = tunekit.load_session(path)
    advice = tunekit.advise(session)
    assert session.title
    assert 0 <= advice.clear <= 1
    assert advice.causes
    assert tunekit.check_fit(session.bike).findings


def test_the_samples_cover_the_bikes_and_the_states_of_work() -> None:
    sessions = [tunekit.load_session(path) for path in PATHS]
    assert len(sessions) >= 8
    assert {len(session.bike.rings) for session in sessions} == {1, 2, 3}
    assert {session.bike.rear.actuation for session in sessions} == {"cable", "electronic"}
    assert "fail" in {tunekit.check_fit(session.bike).status for session in sessions}
    walks = [setup_steps(session) for session in sessions]
    assert any(walk.handed_over for walk in walks)
    assert any(0 < walk.done < walk.total and walk.begun for walk in walks)
