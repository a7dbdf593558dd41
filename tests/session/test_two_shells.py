"""Two shells on one session file, and what a killed writer leaves behind."""

import os
import stat
import subprocess
import sys
import time

import pytest

from tunekit import Bike, Session, SessionError, load_session, save_session
from tunekit.session import disk, make_entry
from tunekit.session.disk import write_whole
from tunekit.session.faults import ConflictError
from tunekit.session.file import change_session

BIKE = Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28))
SHELL = """
import sys
from tunekit.cli import main
for number in range(60):
    assert main(["log", sys.argv[1], "noted", "--text", f"{sys.argv[2]} {number}"]) == 0
"""


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "bike.json"
    save_session(Session(bike=BIKE), path)
    return path


def test_two_shells_of_60_entries_each_make_120(path):
    shells = [
        subprocess.Popen([sys.executable, "-c", SHELL, str(path), name], stdout=subprocess.DEVNULL)
        for name in ("left", "right")
    ]
    assert [shell.wait() for shell in shells] == [0, 0]
    texts = [entry.text for entry in load_session(path).log]
    assert len(texts) == 120
    for name in ("left", "right"):
        assert [text for text in texts if text.startswith(name)] == [f"{name} {n}" for n in range(60)]
    assert os.listdir(path.parent) == ["bike.json"]


def test_another_program_s_change_is_not_overwritten(path):
    def change(session):
        save_session(session.with_entry(make_entry("noted", text="theirs")), path)
        return session.with_entry(make_entry("noted", text="mine"))

    with pytest.raises(ConflictError, match="changed at another bench meanwhile"):
        change_session(path, change)
    assert [entry.text for entry in load_session(path).log] == ["theirs"]


@pytest.mark.skipif(disk.fcntl is None, reason="locks of POSIX")
def test_a_file_that_stays_held_is_told(path, monkeypatch):
    monkeypatch.setattr(disk, "WAIT_S", 0.05)
    with disk.held(path, SessionError), pytest.raises(SessionError, match="being written by another program"):
        change_session(path, lambda session: session)


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(SessionError, match="cannot be read"):
        change_session(tmp_path / "none.json", lambda session: session)


class TestWhatIsWrittenOver:
    @pytest.mark.parametrize("kind", ["pipe", "folder", "link"])
    def test_plain_files_only(self, tmp_path, kind):
        target = tmp_path / "out"
        if kind == "pipe":
            os.mkfifo(target)
        elif kind == "folder":
            target.mkdir()
        else:
            os.mkfifo(tmp_path / "far")
            target.symlink_to(tmp_path / "far")
        before = os.stat(target).st_mode
        with pytest.raises(SessionError, match="is no plain file"):
            write_whole("x", target)
        assert os.stat(target).st_mode == before
        assert not stat.S_ISREG(os.stat(target).st_mode)

    @pytest.mark.parametrize("name", ["x" * 256, "a\0b"])
    def test_a_name_that_cannot_be_one(self, tmp_path, name):
        with pytest.raises(SessionError, match="cannot be written"):
            write_whole("x", tmp_path / name)

    def test_a_name_of_255_letters_is_a_name(self, tmp_path):
        write_whole("x", tmp_path / ("x" * 255))
        assert (tmp_path / ("x" * 255)).read_text() == "x"


class TestPartFiles:
    def test_what_a_killed_writer_left_is_cleared_and_a_writer_at_work_is_not(self, tmp_path):
        killed, at_work = tmp_path / ".tunekit-1.part", tmp_path / ".tunekit-2.part"
        for part in (killed, at_work):
            part.write_text("half")
            os.utime(part, (time.time() - 3600,) * 2)
        with disk.held(at_work, SessionError):
            write_whole("x", tmp_path / "s.json")
        assert sorted(os.listdir(tmp_path)) == [".tunekit-2.part", "s.json"]
