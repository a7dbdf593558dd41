"""A session to ask about, and a way to run the command line that sees what a shell sees."""

import json
from dataclasses import dataclass
from pathlib import Path

import pytest

from tunekit.cli import main


@dataclass(frozen=True)
class Ran:
    """Exit code and what was printed."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> object:
        return json.loads(self.out)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]):
    def _run(*arguments: object) -> Ran:
        code = main([str(argument) for argument in arguments])
        printed = capsys.readouterr()
        return Ran(code, printed.out, printed.err)

    return _run


@pytest.fixture
def session_file(tmp_path: Path, run) -> Path:
    path = tmp_path / "bike.json"
    assert run("new", "--starter", "road-double-10", "-o", path, "--title", "Heron").code == 0
    return path
