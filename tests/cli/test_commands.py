"""Every command answers, in words and in JSON whose keys are the library's attribute names."""

import json
from dataclasses import fields
from pathlib import Path

import pytest
import typer

import tunekit
from tunekit.cli import app
from tunekit.fit import ChainAdvice, Chainlines, FitReport, SwapReport
from tunekit.mechanics.gears import GearTable


def test_help_names_every_command(run) -> None:
    done = run("--help")
    assert done.code == 0
    for name in typer.main.get_command(app).commands:
        assert f"  {name} " in done.out
    assert run().out == done.out


def leaves(command, path: tuple[str, ...] = ()):
    """Every command with its path, groups opened."""
    if hasattr(command, "commands"):
        for name, inner in command.commands.items():
            yield from leaves(inner, (*path, name))
    else:
        yield path, command


ALL = list(leaves(typer.main.get_command(app)))


@pytest.mark.parametrize(("path", "command"), ALL, ids=[" ".join(path) for path, _ in ALL])
def test_every_command_and_option_has_help(path: tuple[str, ...], command) -> None:
    assert command.help
    for parameter in command.params:
        assert getattr(parameter, "help", None), f"{path}: {parameter.name}"


@pytest.mark.parametrize("path", [path for path, _ in ALL], ids=" ".join)
def test_help_of_every_command_can_be_shown(run, path: tuple[str, ...], session_file: Path) -> None:
    words = ("log", session_file, path[1]) if path[0] == "log" else path
    done = run(*words, "--help")
    assert done.code == 0
    assert "--help" in done.out


@pytest.mark.parametrize("path", [path for path, command in ALL if command.name != "app"], ids=" ".join)
def test_every_answer_can_be_had_as_json(path: tuple[str, ...]) -> None:
    options = [option for _, command in ALL if _ == path for p in command.params for option in p.opts]
    assert "--json" in options


@pytest.mark.parametrize(
    ("command", "record"),
    [("fit", FitReport), ("chain", ChainAdvice), ("gears", GearTable), ("line", Chainlines)],
)
def test_json_keys_are_the_attribute_names(run, session_file: Path, command: str, record: type) -> None:
    done = run(command, session_file, "--json")
    assert done.code == 0
    assert list(done.json) == [field.name for field in fields(record)]


@pytest.mark.parametrize("command", ["fit", "chain", "gears", "line", "steps", "advise"])
def test_words_stay_within_80_columns(run, session_file: Path, command: str) -> None:
    done = run(command, session_file)
    assert done.code == 0
    assert done.out.strip()
    assert max(map(len, done.out.splitlines())) <= 80


def test_json_of_fit_is_the_library_s_answer(run, session_file: Path) -> None:
    report = tunekit.check_fit(tunekit.load_session(session_file).bike)
    told = run("fit", session_file, "--json").json
    assert told["status"] == report.status
    assert [row["name"] for row in told["findings"]] == [finding.name for finding in report.findings]
    assert [row["value"] for row in told["findings"]] == [finding.value for finding in report.findings]


def test_starters_lists_every_class_and_says_that_the_leaflet_outranks_them(run) -> None:
    done = run("starters")
    assert "road-double-10" in done.out
    assert "leaflet" in done.out
    listed = run("starters", "--json").json
    assert len(listed) >= 8
    assert {"field", "value", "status", "source"} == set(listed[0]["rows"][0])
    one = run("starters", "city-8")
    assert "typical" in one.out


def test_new_prints_a_session_file_when_no_file_is_named(run, tmp_path: Path) -> None:
    text = run("new", "--starter", "city-8").out
    path = tmp_path / "city.json"
    path.write_text(text, encoding="utf-8")
    assert tunekit.load_session(path).bike.rings == (38,) or tunekit.load_session(path).bike.rings


def test_new_replaces_a_session_only_when_told_to(run, session_file: Path) -> None:
    before = session_file.read_bytes()
    refused = run("new", "--starter", "city-8", "-o", session_file)
    assert refused.code == 2
    assert "--force" in refused.err
    assert session_file.read_bytes() == before
    assert run("new", "--starter", "city-8", "-o", session_file, "--force").code == 0
    assert session_file.read_bytes() != before


LOGGED = [
    (["told", "--what", "wheel_swapped"], {"kind": "told", "what": "wheel_swapped"}),
    (
        ["heard", "--ring", "50", "--cog", "17", "--moment", "to_larger_cog", "--what", "slow"],
        {"kind": "heard", "ring": 50, "cog": 17, "moment": "to_larger_cog", "what": "slow"},
    ),
    (
        ["heard", "--moment", "pedalling", "--what", "rattle", "--side", "inboard", "--per", "wheel"],
        {"kind": "heard", "ring": None, "cog": None, "side": "inboard", "per": "wheel"},
    ),
    (
        ["measured", "--what", "pulley_gap_mm", "--cog", "25", "--value", "4.5"],
        {"kind": "measured", "cog": 25, "value": 4.5},
    ),
    (["measured", "--what", "cable_drag", "--value", "yes"], {"what": "cable_drag", "value": 1.0}),
    (["measured", "--what", "wheel_seated", "--value", "no"], {"what": "wheel_seated", "value": 0.0}),
    (["measured", "--what", "hanger_rim_mm", "--value", "61,60,58,60"], {"value": [61.0, 60.0, 58.0, 60.0]}),
    (["turned", "--what", "rear_barrel", "--amount", "-0.25"], {"kind": "turned", "amount": -0.25}),
    (["turned", "--what", "hanger"], {"what": "hanger", "amount": None}),
    (["fitted", "--what", "chain", "--links", "108"], {"kind": "fitted", "links": 108}),
    (["noted", "--text", "Rider tries it home."], {"kind": "noted", "text": "Rider tries it home."}),
]


@pytest.mark.parametrize(("words", "entry"), LOGGED, ids=[" ".join(words) for words, _ in LOGGED])
def test_log_adds_one_entry_and_undo_drops_it(run, session_file: Path, words: list[str], entry: dict) -> None:
    before = session_file.read_bytes()
    at = "2026-11-25T10:00:00Z"
    done = run("log", session_file, *words, "--at", at, "--json")
    assert done.code == 0
    assert entry.items() <= done.json.items()
    kept = json.loads(session_file.read_text(encoding="utf-8"))["log"]
    assert kept == [{key: value for key, value in done.json.items() if value is not None}]
    assert kept[0]["at"] == at
    assert run("log", session_file, "undo").out.startswith("Dropped:")
    assert session_file.read_bytes() == before


def test_log_says_in_words_what_it_added(run, session_file: Path) -> None:
    done = run("log", session_file, "turned", "--what", "rear_barrel", "--amount", "0.25")
    assert done.out == "Logged: Rear barrel adjuster: a quarter turn out\n"


def test_chain_tells_the_coach_what_a_new_cassette_changes(run, session_file: Path) -> None:
    done = run("chain", session_file, "--cogs", "11,13,15,17,19,21,23,25,28,32", "--json")
    assert list(done.json) == [field.name for field in fields(SwapReport)]
    assert [50, 32] in done.json["gained"]
    assert "B screw" in run("chain", session_file, "--cogs", "11 13 15 17 19 21 23 25 28 32").out


def test_chain_and_fit_judge_the_chain_that_the_log_fitted(run, session_file: Path) -> None:
    run("log", session_file, "fitted", "--what", "chain", "--links", "120")
    told = run("chain", session_file, "--json").json
    assert told["present"] == 120
    assert told["present_assumed"] is False
    assert "The present chain of 120 links is too long" in " ".join(run("chain", session_file).out.split())
    swapped = run("chain", session_file, "--cogs", "11,13,15,17,19,21,23,25,28,30", "--json").json
    assert swapped["chain"]["present"] == 120
    lengths = [f for f in run("fit", session_file, "--json").json["findings"] if f["name"] == "chain_length"]
    assert (lengths[0]["value"], lengths[0]["status"]) == (120, "caution")


def test_gears_give_the_published_development(run, session_file: Path) -> None:
    """Development = circumference × ring / cog (Wikipedia, Gear inches)."""
    told = run("gears", session_file, "--json").json
    assert told["development_m"][1][0] == pytest.approx(2.105 * 50 / 11)
    assert run("gears", session_file, "--cadence", "100", "--json").json["cadence_rpm"] == 100


def test_runs_plans_from_one_line(run, tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text('starter = "time_trial"\n', encoding="utf-8")
    told = run("runs", plan, "--json")
    assert told.code == 0
    assert told.json["proven"] is True
    words = run("runs", plan)
    assert "Order of pulling" in words.out
    assert max(map(len, words.out.splitlines())) <= 80


def test_runs_writes_its_sheet_to_the_named_file(run, tmp_path: Path) -> None:
    plan, out = tmp_path / "plan.toml", tmp_path / "sheet.html"
    plan.write_text('starter = "road"\n', encoding="utf-8")
    told = run("runs", plan, "-o", out, "--json")
    assert told.code == 0
    page = out.read_text(encoding="utf-8")
    assert told.json["title"] in page
    for junction in told.json["junctions"]:
        assert junction["label"] in page
    assert "<script" not in page


def test_runs_never_writes_over_its_plan(run, tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text('starter = "road"\n', encoding="utf-8")
    refused = run("runs", plan, "-o", plan)
    assert refused.code == 2
    assert "--out must not be the run plan" in refused.err
    assert plan.read_text(encoding="utf-8") == 'starter = "road"\n'


def test_steps_and_advise_answer_as_the_library_does(run, session_file: Path) -> None:
    session = tunekit.load_session(session_file)
    walk = run("steps", session_file, "--json").json
    assert [step["id"] for step in walk["steps"]] == [step.id for step in tunekit.setup_steps(session).steps]
    run("log", session_file, "heard", "--cog", "17", "--moment", "to_larger_cog", "--what", "slow")
    told = run("advise", session_file, "--seed", "3", "--json").json
    asked = tunekit.advise(tunekit.load_session(session_file), seed=3)
    assert [cause["name"] for cause in told["causes"]] == [cause.name for cause in asked.causes]
    assert told["clear"] == asked.clear


def test_sheet_is_written_to_the_named_file(run, session_file: Path, tmp_path: Path) -> None:
    out = tmp_path / "sheet.html"
    assert run("sheet", session_file, "-o", out, "--json").json["path"] == str(out)
    assert "Heron" in out.read_text(encoding="utf-8")


def test_trial_counts_its_bikes(run) -> None:
    done = run("trial", "--bikes", "2", "--json")
    assert done.code == 0
    assert {row["bikes"] for row in done.json["rows"]} == {2}
    assert "advice" in {row["policy"] for row in done.json["rows"]}
