"""What `tunekit steps` prints can be done and logged as it stands: the shell is no poorer than the page."""

import re
import shlex

import pytest

from tunekit import Session
from tunekit.bike.starters import starter, starter_names
from tunekit.session import make_entry
from tunekit.session.file import save_session
from tunekit.setup import setup_steps, walks_for
from tunekit.show.text.logged import correction_command, step_command
from tunekit.show.text.steps import steps_text

WALKS = [(name, walk) for name in starter_names() for walk in walks_for(starter(name))]
TYPED = {
    "quiet_edge_outboard": "0.25",
    "barrel_turns_out": "2",
    "front_barrel_turns_out": "1",
    "chain_length_links": "106",
}


def typed(command: str) -> list[str]:
    """The command as a hand completes it."""
    words = shlex.split(command.split("  #")[0])
    what = words[words.index("--what") + 1]
    return [word.replace("NUMBER", TYPED.get(what, "1")) for word in words]


@pytest.mark.parametrize(
    ("name", "walk"), [(n, w) for n, w in WALKS if n in ("road-double-10", "road-electronic")]
)
def test_every_step_s_words_are_taken_by_the_log(run, tmp_path, name: str, walk: str) -> None:
    path = tmp_path / "bike.json"
    for step in setup_steps(Session(bike=starter(name)), walk).steps:
        save_session(Session(bike=starter(name)), path)
        words = typed(step_command(step))
        assert words[:3] == ["tunekit", "log", "FILE"]
        ran = run("log", path, *words[3:], *(["--sure"] if "measured" in words else []))
        assert ran.code == 0, (step.id, words, ran.err)


def test_a_correction_says_which_words_log_it(run, tmp_path) -> None:
    path = tmp_path / "bike.json"
    log = (make_entry("measured", what="low_limit_offset_mm", value=1.5, cog=25),)
    session = Session(bike=starter("road-double-10"), log=log)
    step = setup_steps(session, "rear_cable").step("low_stop")
    assert step is not None
    assert step.verdict is not None
    assert step.verdict.correction is not None
    words = shlex.split(correction_command(step.verdict.correction))
    save_session(session, path)
    assert run("log", path, *words[3:]).code == 0
    assert "tunekit log FILE turned --what low_limit" in re.sub(
        r"\s+", " ", steps_text(setup_steps(session, "rear_cable"))
    )


@pytest.mark.parametrize(("name", "walk"), WALKS)
def test_a_figure_has_one_form_and_its_unit(name: str, walk: str) -> None:
    """No "1 turns", no eighth as a rounded decimal, no span from a figure to itself."""
    text = re.sub(r"\s+", " ", steps_text(setup_steps(Session(bike=starter(name)), walk)))
    assert not re.search(r"\b1 (turns|steps|links)\b", text)
    assert not re.search(r"\d\.\d+ to [\d.]+ turns?|\d\.\d+ turns?", text)
    for low, high in re.findall(r"\(([\d.]+) to ([\d.]+)", text):
        assert low != high


@pytest.mark.parametrize(("name", "walk"), WALKS)
def test_every_open_step_says_how_and_what_logs_it(name: str, walk: str) -> None:
    found = setup_steps(Session(bike=starter(name)), walk)
    text = re.sub(r"\s+", " ", steps_text(found))
    for step in found.steps:
        assert re.sub(r"\s+", " ", f"How: {step.how}") in text, step.id
    assert text.count("Log it: tunekit log FILE") == len(found.steps)


@pytest.mark.parametrize(("name", "walk"), WALKS)
def test_a_printed_command_can_be_pasted_into_a_shell(name: str, walk: str) -> None:
    """Carried on with a backslash, a comment never carried on: each reads as one command again."""
    text = steps_text(setup_steps(Session(bike=starter(name)), walk))
    found = re.findall(r"tunekit log FILE(?:[^\n]*\\\n)*[^\n]*", text)
    assert found
    for command in found:
        words = shlex.split(command.replace("\\\n", " "), comments=True)
        assert words[4] == "--what"
        assert "or" not in words
