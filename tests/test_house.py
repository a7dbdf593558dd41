"""The house's own rules: what imports what, what lies at the top, and documents that stay true."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from tunekit.cli import app

ROOT = Path(__file__).parents[1]
TOP = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "app.py", "LICENSE", ".gitignore",
    "tunekit", "tests", "sample_sessions", ".streamlit", ".ci",
}  # fmt: skip
INSTALL = "python3 -m venv .venv && .venv/bin/pip install -q -e . && .venv/bin/tunekit app"
TEST = 'python3 -m venv .venv && .venv/bin/pip install -q -e ".[test]" && .venv/bin/pytest'


def tracked() -> list[str]:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    return listed.stdout.splitlines()


def command_names() -> list[str]:
    group = typer.main.get_command(app)
    return sorted(group.commands)


@pytest.mark.parametrize("module", ["tunekit", "tunekit.cli"])
def test_import_brings_in_no_screen_no_plots_no_database_and_no_scipy(module: str) -> None:
    """scipy alone would double the time; whoever needs it imports it where it is used."""
    heavy = ("streamlit", "plotly", "sqlalchemy", "scipy")
    script = f"import sys, {module}; print([name for name in {heavy} if name in sys.modules])"
    found = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_imports_run_one_way() -> None:
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([lint, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_only_the_named_things_lie_at_the_top() -> None:
    assert {name.split("/")[0] for name in tracked()} <= TOP


def test_readme_has_the_two_commands_each_on_one_line() -> None:
    lines = [line.strip() for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()]
    assert INSTALL in lines
    assert TEST in lines
    assert lines.index(INSTALL) < lines.index(TEST)


def test_readme_opens_with_the_job_before_any_command() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    opening = text.split("\n\n")[1]
    assert len(opening.split()) >= 40
    assert text.index(opening) < text.index(INSTALL)


def test_pictures_and_files_named_in_the_documents_exist() -> None:
    for name in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / name).read_text(encoding="utf-8")
        for target in re.findall(r"\]\((?!https?:|#)([^)#]+)", text):
            assert (ROOT / target).exists(), f"{name} points at {target}"


@pytest.mark.parametrize("name", command_names())
def test_every_command_is_in_the_readme(name: str) -> None:
    assert f"tunekit {name}" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_developers_guide_is_short_enough_to_be_read() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    by_hand = re.sub(r"<!-- validation:begin -->.*<!-- validation:end -->", "", text, flags=re.S)
    assert len(by_hand.splitlines()) <= 200


def test_developers_guide_says_why_for_every_dependency() -> None:
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").lower()
    missing = [name for line in needed if (name := re.split(r"[<>=\[]", line)[0].lower()) not in guide]
    assert not missing


def test_python_files_stay_short() -> None:
    long = {name: count for name in tracked() if name.startswith("tunekit/") and name.endswith(".py")
            and (count := len((ROOT / name).read_text(encoding="utf-8").splitlines())) > 500}  # fmt: skip
    assert not long
