"""Whatever is wrong with the input: exit 2, one plain line on standard error, the file as it was."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

READ = ["fit", "chain", "gears", "line", "steps", "advise"]


def changed(path: Path, *keys: str | int, to: Any) -> str:
    """The session file's text with one value replaced."""
    raw = json.loads(path.read_text(encoding="utf-8"))
    inner = raw
    for key in keys[:-1]:
        inner = inner[key]
    inner[keys[-1]] = to
    return json.dumps(raw)


def heard(**fields: Any) -> dict[str, Any]:
    return {"kind": "heard", "at": "2026-11-25T10:00:00Z", "moment": "pedalling", "what": "rattle", **fields}


# What is wrong: keys and value to put into a good file, and what the sentence must say.
WRONG = {
    "cogs that do not increase": (["bike", "cogs"], [11, 13, 12], r"bike\.cogs must increase"),
    "rings twice the same": (["bike", "rings"], [50, 50], r"bike\.rings must increase"),
    "an odd link count": (["bike", "chain", "links"], 107, r"bike\.chain\.links must be an even number"),
    "a negative length": (
        ["bike", "frame", "chainstay_mm"],
        -410,
        r"bike\.frame\.chainstay_mm must be at least",
    ),
    "a tooth count of text": (["bike", "cogs"], ["11"], r"bike\.cogs\[1\] must be a whole number"),
    "no rings": (["bike", "rings"], [], r"bike\.rings needs at least 1"),
    "an unknown key": (["bike", "saddle"], 1, r"bike\.saddle is not a known key"),
    "an unknown key at the top": (["colour"], "red", r"colour is not a known key"),
    "a later version": (["tunekit_session"], 3, r"tunekit_session must be 2 \(got 3\); update"),
    "NaN": (["bike", "crank", "chainline_mm"], float("nan"), r"chainline_mm must be a finite number"),
    "infinity": (["bike", "wheel", "circumference_mm"], float("inf"), r"circumference_mm must be"),
    "a cog that the cassette lacks": (
        ["log"],
        [heard(cog=16)],
        r"log\[1\]\.cog must be one of the bike's cogs",
    ),
    "a ring that the crank lacks": (
        ["log"],
        [heard(ring=44)],
        r"log\[1\]\.ring must be one of the bike's rings",
    ),
    "an unknown word": (["log"], [heard(what="squeal")], r"log\[1\]\.what must be .*\(got squeal\)"),
    "an unknown kind": (["log"], [heard(kind="smelt")], r"log\[1\] must be one of 'told'"),
    "a time without zone": (
        ["log"],
        [heard(at="2026-11-25T10:00:00")],
        r"log\[1\]\.at must name its time zone",
    ),
    "a log that is no list": (["log"], 5, r"log must be a list"),
    "a bike that is no table": (["bike"], [1], r"bike must be"),
}


def assert_told(done, pattern: str) -> None:
    assert done.code == 2, done
    assert done.out == ""
    assert done.err.count("\n") == 1, done.err
    assert done.err.endswith(".\n")
    assert "Traceback" not in done.err
    assert re.search(pattern, done.err), done.err


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_session_is_told_in_one_line(run, session_file: Path, name: str) -> None:
    keys, value, pattern = WRONG[name]
    session_file.write_text(changed(session_file, *keys, to=value), encoding="utf-8")
    before = session_file.read_bytes()
    assert_told(run("fit", session_file), pattern)
    assert_told(run("log", session_file, "told", "--what", "fall"), pattern)
    assert session_file.read_bytes() == before


RAW = {
    "nonsense": (b"\x93NUMPY\x01\x00", "file must be"),
    "empty": (b"", "file must be whole JSON"),
    "text": (b"Dear mechanic,", "file must be whole JSON"),
    "a list": (b"[1, 2]", "tunekit_session is missing"),
    "another file": (b'{"bike": {}}', "tunekit_session is missing"),
    "endless nesting": (b"[" * 100_000, "endless nesting|whole JSON"),
    "50 MB": (os.urandom(1) * 50_000_000, "smaller than 2 MB"),
}


@pytest.mark.parametrize("command", READ)
@pytest.mark.parametrize("name", RAW)
def test_a_file_that_is_no_session_is_told_in_one_line(run, tmp_path: Path, name: str, command: str) -> None:
    content, pattern = RAW[name]
    path = tmp_path / "odd.json"
    path.write_bytes(content)
    assert_told(run(command, path), pattern)
    assert path.read_bytes() == content


def test_a_file_cut_short_anywhere_is_told_in_one_line(run, session_file: Path, tmp_path: Path) -> None:
    whole = session_file.read_bytes().rstrip()
    cut = tmp_path / "cut.json"
    for length in range(0, len(whole), max(len(whole) // 25, 1)):
        cut.write_bytes(whole[:length])
        assert_told(run("gears", cut), "whole JSON")


@pytest.mark.parametrize("command", READ)
def test_a_missing_file_and_a_folder_are_told_in_one_line(run, tmp_path: Path, command: str) -> None:
    assert_told(run(command, tmp_path / "none.json"), "none.json cannot be read")
    assert_told(run(command, tmp_path), "cannot be read")


BAD_WORDS = [
    (
        ["heard", "--cog", "16", "--moment", "pedalling", "--what", "rattle"],
        "cog must be one of the bike's cogs",
    ),
    (["heard", "--cog", "17", "--moment", "pedalling", "--what", "squeal"], r"what must be .*got squeal"),
    (["heard", "--cog", "17", "--moment", "sleeping", "--what", "rattle"], "sleeping"),
    (["heard", "--cog", "seventeen", "--moment", "pedalling", "--what", "rattle"], "cog"),
    (["measured", "--what", "pulley_gap_mm", "--value", "nan"], "value must be a finite number"),
    (["measured", "--what", "pulley_gap_mm", "--value", "inf"], "value must be a finite number"),
    (["measured", "--what", "pulley_gap_mm", "--value", "wide"], "value must be a number"),
    (["measured", "--what", "hanger_rim_mm", "--value", "60"], "four readings"),
    (["measured", "--what", "hanger_rim_mm", "--value", "60,61,62"], "value"),
    (["measured", "--what", "cable_drag", "--value", "0.5"], "1 .yes. or 0 .no."),
    (["turned", "--what", "rear_barrel"], "needs an amount"),
    (["turned", "--what", "rear_barrel", "--amount", "nan"], "amount"),
    (["turned", "--what", "rear_barrel", "--amount", "1e9"], "amount must be at most 100"),
    (["fitted", "--what", "chain", "--links", "107"], "links must be even"),
    (["fitted", "--what", "chain", "--links", "-2"], "links must be at least"),
    (["noted", "--text", ""], "text"),
    (["told", "--what", "rain"], r"what must be .*got rain"),
    (["told", "--what", "fall", "--at", "yesterday"], "at must be a date and time"),
    (["undo"], "nothing to undo"),
    (["shouted"], "shouted"),
    ([], "command"),
]


@pytest.mark.parametrize(
    ("words", "pattern"), BAD_WORDS, ids=[" ".join(words) or "none" for words, _ in BAD_WORDS]
)
def test_a_wrong_entry_leaves_the_file_as_it_was(
    run, session_file: Path, words: list[str], pattern: str
) -> None:
    before = session_file.read_bytes()
    assert_told(run("log", session_file, *words), pattern)
    assert session_file.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "pattern"),
    [
        (["polish"], "polish"),
        (["fit"], "FILE"),
        (["fit", "a", "b"], "b"),
        (["fit", "--loud", "a"], "--loud"),
        (["new", "--starter", "penny-farthing"], "starter must be .*got penny-farthing"),
        (["new", "--starter", "city-8", "--title", "x" * 300], "title"),
        (["new"], "--starter"),
        (["starters", "penny-farthing"], "starter must be"),
        (["trial", "--bikes", "0"], "bikes"),
        (["trial", "--faults", "many"], "faults"),
        (["app", "--port", "99999999"], "port"),
        (["new", "--starter", "city-8", "-o", "/nowhere/at/all.json"], "cannot be written"),
    ],
    ids=lambda value: " ".join(value)[:40] if isinstance(value, list) else "",
)
def test_a_wrong_command_is_told_in_one_line(run, words: list[str], pattern: str) -> None:
    assert_told(run(*words), pattern)


@pytest.mark.parametrize(
    ("option", "value", "pattern"),
    [
        ("--cogs", "11,13,12", "cogs must increase"),
        ("--cogs", "11,x", "--cogs must be tooth counts"),
        ("--rings", "-50", "rings"),
        ("--rings", "", "rings needs at least 1"),
    ],
)
def test_wrong_teeth_are_told_in_one_line(
    run, session_file: Path, option: str, value: str, pattern: str
) -> None:
    assert_told(run("chain", session_file, option, value), pattern)


@pytest.mark.parametrize("cadence", ["nan", "-5", "inf", "fast"])
def test_a_wrong_cadence_is_told_in_one_line(run, session_file: Path, cadence: str) -> None:
    assert_told(run("gears", session_file, "--cadence", cadence), "cadence")


PLANS = {
    "unknown starter": ('starter = "barge"', "starter must be"),
    "unknown key": ('starter = "road"\nwings = 2', "wings is not a known key"),
    "broken TOML": ('starter = "road', "whole TOML"),
    "broken JSON": ('{"starter": ', "whole JSON"),
    "a list": ("[1]", "."),
    "later version": ('starter = "road"\ntunekit_runs = 9', "tunekit_runs must be"),
    "nothing": ("", "."),
}


@pytest.mark.parametrize("name", PLANS)
def test_a_wrong_plan_is_told_in_one_line(run, tmp_path: Path, name: str) -> None:
    text, pattern = PLANS[name]
    plan = tmp_path / "plan.toml"
    plan.write_text(text, encoding="utf-8")
    assert_told(run("runs", plan), pattern)
    assert plan.read_text(encoding="utf-8") == text


def test_a_sheet_that_cannot_be_written_is_told_in_one_line(run, session_file: Path, tmp_path: Path) -> None:
    assert_told(run("sheet", session_file, "-o", tmp_path / "no" / "sheet.html"), "cannot be written")
    assert_told(run("sheet", session_file, "-o", session_file), "session file")


def shell(*words: object, **more: Any) -> subprocess.CompletedProcess[str]:
    """As a shell would start it, in a process of its own."""
    command = [
        sys.executable,
        "-c",
        "import sys; from tunekit.cli import main; sys.exit(main())",
        *map(str, words),
    ]
    return subprocess.run(command, capture_output=True, text=True, check=False, **more)


def test_a_shell_sees_exit_2_and_one_line(tmp_path: Path) -> None:
    done = shell("fit", tmp_path / "none.json")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1


def test_a_reader_that_goes_away_is_no_error(session_file: Path) -> None:
    """`tunekit gears FILE | head -1`, with the pipe closed before anything is written."""
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-c", "import sys; from tunekit.cli import main; sys.exit(main())", "gears"]
    with os.fdopen(writing, "wb") as closed:
        done = subprocess.run(
            [*command, str(session_file)], stdout=closed, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.stderr == ""
    assert done.returncode == 0


def test_a_terminal_without_the_signs_still_gets_its_answer(session_file: Path) -> None:
    done = shell("fit", session_file, env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert done.stderr == ""


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_an_unreadable_file_is_told_in_one_line(run, session_file: Path) -> None:
    session_file.chmod(0)
    assert_told(run("fit", session_file), "cannot be read")


@pytest.mark.parametrize("name", ["x" * 256, "x" * 5000])
def test_a_name_too_long_is_told_in_one_line(run, session_file: Path, tmp_path: Path, name: str) -> None:
    assert_told(run("new", "--starter", "city-8", "-o", tmp_path / name), "File name too long")
    assert_told(run("sheet", session_file, "-o", tmp_path / name), "File name too long")
    assert_told(run("fit", tmp_path / name), "File name too long")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="a pipe with a name is POSIX's")
def test_only_plain_files_are_written_over(run, session_file: Path, tmp_path: Path) -> None:
    """A pipe of our own stands for every device: the machine's own are not for a test to lose."""
    out = tmp_path / "out"
    os.mkfifo(out)
    for words in (("sheet", session_file), ("new", "--starter", "city-8")):
        assert_told(run(*words, "-o", out), "is no plain file, so it is not written over")
    assert out.is_fifo()


def test_control_characters_of_a_file_never_reach_the_terminal(run, session_file: Path) -> None:
    nasty = "\x1b]0;owned\x07\x1b[2J\u202e\x9b31m\rover"
    assert run("log", session_file, "noted", "--text", nasty).code == 0
    session_file.write_text(changed(session_file, "title", to=nasty), encoding="utf-8")
    printed = [run(command, session_file) for command in READ] + [run("log", session_file, "undo")]
    session_file.write_text(changed(session_file, "bike", "cogs", to=[nasty]), encoding="utf-8")
    printed.append(run("fit", session_file))
    assert printed[-1].code == 2
    for done in printed:
        assert not set("\x1b\x07\u202e\x9b\r") & set(done.out + done.err)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the device that is always full")
def test_a_full_standard_output_is_not_called_a_fault_of_ours(session_file: Path) -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [
                sys.executable,
                "-c",
                "import sys; from tunekit.cli import main; sys.exit(main())",
                "log",
                str(session_file),
                "told",
                "--what",
                "fall",
            ],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 1
    assert done.stderr == (
        "tunekit: what you asked for is done, but its answer could not be printed "
        "(No space left on device); free some space.\n"
    )
    assert len(json.loads(session_file.read_text(encoding="utf-8"))["log"]) == 1


@pytest.mark.parametrize("place", ["tunekit_session", "title"])
def test_half_a_surrogate_pair_is_told_in_text(run, session_file: Path, place: str) -> None:
    session_file.write_text(changed(session_file, place, to="\ud800"), encoding="utf-8")
    done = run("fit", session_file)
    assert done.code == 2
    done.err.encode("utf-8")
