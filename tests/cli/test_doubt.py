"""`tunekit log` and a figure that no hand could have read: asked, never swallowed, never written unasked."""

import json
import shlex

import pytest


def log_of(path):
    return json.loads(path.read_text(encoding="utf-8"))["log"]


GAP = ("measured", "--what", "pulley_gap_mm", "--cog", "25", "--value", "60")


def test_without_a_terminal_it_refuses_and_names_both_commands(run, session_file):
    done = run("log", session_file, *GAP)
    assert (done.code, done.out, log_of(session_file)) == (2, "", [])
    assert "did you mean 6 mm, or really 60 mm?" in done.err
    assert done.err.count("\n") == 1
    told = done.err.split("say it as: ")[1].strip()
    assert told == (
        f"tunekit log {session_file} measured --what pulley_gap_mm --cog 25 --value=6 or "
        f"tunekit log {session_file} measured --what pulley_gap_mm --cog 25 --value=60 --sure"
    )


@pytest.mark.parametrize("which", [0, 1])
def test_each_named_command_works(run, session_file, which):
    told = run("log", session_file, *GAP).err.split("say it as: ")[1].split(" or ")[which]
    assert run(*shlex.split(told)[1:]).code == 0
    assert [entry["value"] for entry in log_of(session_file)] == [(6.0, 60.0)[which]]


def test_sure_is_kept_in_the_file_and_an_ordinary_figure_has_none(run, session_file):
    run("log", session_file, *GAP, "--sure")
    run("log", session_file, *GAP[:-1], "6")
    assert [entry.get("sure") for entry in log_of(session_file)] == [True, None]


def test_a_turn_is_asked_about_too(run, session_file):
    done = run("log", session_file, "turned", "--what", "rear_barrel", "--amount", "-25")
    assert done.code == 2
    assert "--amount=-2.5 or" in done.err


@pytest.mark.parametrize(("answer", "logged"), [("1", [6.0]), ("2", [60.0]), ("3", []), ("so", [])])
def test_at_a_terminal_it_asks(run, session_file, monkeypatch, answer, logged):
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("typer.prompt", lambda text: answer)
    done = run("log", session_file, *GAP)
    assert done.code == (0 if logged else 2)
    assert "did you mean" in done.out
    assert [entry["value"] for entry in log_of(session_file)] == logged


@pytest.mark.parametrize("value", ["1e308", "-51"])
def test_what_cannot_be_is_refused_even_when_sure(run, session_file, value):
    done = run("log", session_file, *GAP[:-1], f"{value}", "--sure")
    assert done.code == 2
    assert "cannot be; measure again and enter the figure" in done.err
    assert log_of(session_file) == []
