"""Text files on disk: written whole or not at all, read no further than a file of ours goes, one writer at a time."""

import os
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tunekit.bike.errors import SessionError, TunekitError, clean

try:
    import fcntl
except ImportError:  # not a POSIX system: two shells are told apart by compare-and-replace alone
    fcntl = None  # type: ignore[assignment]

MAX_BYTES = 2_000_000
WAIT_S = 10.0
"""How long one shell waits for another's write, which takes a few milliseconds."""
PAUSE_S = 0.005
PART = ".tunekit-"
"""How the hidden file begins that a write fills before it takes the old one's place."""


def check_size(size: int, kind: str, error: type[TunekitError]) -> None:
    """Raises `error` when a file of that many bytes is larger than any of ours."""
    if size > MAX_BYTES:
        raise error(f"file must be smaller than 2 MB (got {size / 1e6:.0f} MB); choose a {kind} file.")


def read_whole(path: str | os.PathLike[str], kind: str, error: type[TunekitError]) -> bytes:
    """A file's content, no more of it than a file of ours may have; raises `error` with one sentence."""
    try:
        with Path(path).open("rb") as file:
            content = file.read(MAX_BYTES + 1)
            size = max(len(content), os.fstat(file.fileno()).st_size)
    except (OSError, ValueError) as fault:  # ValueError: a name with a null byte
        raise error(
            f"{clean(path)} cannot be read ({_reason(fault)}); check the name and try again."
        ) from None
    check_size(size, kind, error)
    return content


def write_whole(text: str, path: str | os.PathLike[str]) -> None:
    """Write a text file atomically, keeping the old one's permissions and links; raises SessionError.

    Only a plain file is ever replaced: a device, a pipe or a folder in its place is refused.
    """
    temporary: str | None = None
    try:
        target = Path(os.path.realpath(path))
        if target.exists() and not target.is_file():
            raise SessionError(
                f"{clean(path)} is no plain file, so it is not written over; choose another name."
            )
        _clear_parts(target.parent)
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=PART, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            _hold(handle)
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
            os.chmod(temporary, target.stat().st_mode & 0o777 if target.exists() else 0o644)
            os.replace(temporary, target)
        _settle(target.parent)
    except (OSError, ValueError) as error:
        if temporary:
            with suppress(OSError):
                os.unlink(temporary)
        if isinstance(error, SessionError):
            raise
        raise SessionError(
            f"{clean(path)} cannot be written ({_reason(error)}); "
            "the old file is untouched, choose another place."
        ) from None


def is_taken(path: Path) -> bool:
    """Whether a file with content is there; raises SessionError when the name cannot be one."""
    try:
        return path.exists() and path.stat().st_size > 0
    except (OSError, ValueError) as error:
        raise SessionError(
            f"{clean(path)} cannot be written ({_reason(error)}); choose another name."
        ) from None


@contextmanager
def held(path: str | os.PathLike[str], error: type[TunekitError]) -> Iterator[None]:
    """Hold a file for one writer: a second one waits, then is told. The lock is the file's own, none is left."""
    target, until = Path(os.path.realpath(path)), time.monotonic() + WAIT_S
    handle = None
    while handle is None:
        try:
            handle = _locked(target)
        except (OSError, ValueError) as fault:
            raise error(
                f"{clean(path)} cannot be read ({_reason(fault)}); check the name and try again."
            ) from None
        if handle is None and time.monotonic() > until:
            raise error(f"{clean(path)} is being written by another program; try again in a moment.")
        if handle is None:
            time.sleep(PAUSE_S)
    try:
        yield
    finally:
        os.close(handle)


def _locked(target: Path) -> int | None:
    """The file's handle with its lock, or None while another has it or has just put a new file there."""
    handle = os.open(target, os.O_RDONLY)
    try:
        if _hold(handle) and os.path.samestat(os.fstat(handle), os.stat(target)):
            return handle
    except OSError:
        os.close(handle)
        raise
    os.close(handle)
    return None


def _hold(handle: int) -> bool:
    """Take the lock of an open file without waiting; True when it is ours."""
    if fcntl is None:
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:  # a file system without locks: compare-and-replace is what is left
        return True
    return True


YOUNG_S = 60.0
"""A hidden part file younger than this is left alone: its writer may not hold it yet."""


def _clear_parts(folder: Path) -> None:
    """Remove hidden part files whose writer was killed: nobody holds their lock any more."""
    if fcntl is None:
        return
    for part in folder.glob(f"{PART}*.part"):
        with suppress(OSError):
            if time.time() - part.stat().st_mtime < YOUNG_S:
                continue
            handle = os.open(part, os.O_RDONLY)
            try:
                if _hold(handle):
                    part.unlink()
            finally:
                os.close(handle)


def _settle(folder: Path) -> None:
    """Bring the folder's new entry to disk, where the system lets a folder be synced."""
    if os.name != "posix":
        return
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _reason(fault: OSError | ValueError) -> object:
    return getattr(fault, "strerror", None) or fault
