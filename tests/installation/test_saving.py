"""A saved file holds the old or the new text, never a mixture."""

from __future__ import annotations

import errno
import os
import socket
import stat
import subprocess
import sys
import threading

import pytest

from airrisk.installation import saving
from airrisk.installation.saving import keep_copy, save, save_bytes, save_result

OLD, NEW = b"format = 1\r\n# old\r\n", "\ufeffformat = 1\r\n# new, ünï\r\n"
posix = pytest.mark.skipif(os.name == "nt", reason="permissions of this kind are not on Windows")


@pytest.fixture
def path(tmp_path):
    file = tmp_path / "yard.toml"
    file.write_bytes(OLD)
    return file


def test_the_text_is_written_byte_for_byte(path):
    assert save(path, NEW) is None
    assert path.read_bytes() == NEW.encode()
    save(path, OLD)
    assert path.read_bytes() == OLD
    assert list(path.parent.iterdir()) == [path]


def test_a_new_file_is_made(tmp_path):
    save(tmp_path / "new.toml", "format = 1\n")
    assert (tmp_path / "new.toml").read_bytes() == b"format = 1\n"


@posix
def test_permissions_are_kept(path):
    path.chmod(0o640)
    save(path, NEW)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@posix
def test_a_new_file_gets_the_usual_permissions(tmp_path):
    (tmp_path / "usual").write_bytes(b"")
    save(tmp_path / "new.toml", "x")
    modes = [stat.S_IMODE((tmp_path / name).stat().st_mode) for name in ("usual", "new.toml")]
    assert modes[0] == modes[1]


@posix
def test_a_symbolic_link_stays_one(path, tmp_path):
    link = tmp_path / "link.toml"
    link.symlink_to(path)
    save(link, NEW)
    assert link.is_symlink()
    assert path.read_bytes() == NEW.encode()


@pytest.mark.parametrize("step", ["fsync", "replace", "chmod"])
def test_a_failure_leaves_the_old_file_and_no_litter(path, monkeypatch, step):
    def fail(*args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(saving.os, step, fail)
    with pytest.raises(OSError, match="No space left"):
        save(path, NEW)
    monkeypatch.undo()
    assert path.read_bytes() == OLD
    assert list(path.parent.iterdir()) == [path]


KILLED = """
import os, sys
from airrisk.installation import saving
step, count = sys.argv[2], int(sys.argv[3])
real = getattr(os, step)
def killed(*args):
    global count
    count -= 1
    if count < 0:
        os._exit(9)
    return real(*args)
setattr(os, step, killed)
saving.save(sys.argv[1], "n" * 3_000_000)
"""


@pytest.mark.parametrize(
    ("step", "count", "is_new"),
    [("open", 0, False), ("fsync", 0, False), ("chmod", 0, False), ("replace", 0, False),
     ("fsync", 1, True)],
)  # fmt: skip
@posix
def test_a_kill_at_any_step_leaves_the_old_or_the_new_file(path, step, count, is_new):
    words = [sys.executable, "-c", KILLED, str(path), step, str(count)]
    assert subprocess.run(words, check=False).returncode == 9
    assert path.read_bytes() == (b"n" * 3_000_000 if is_new else OLD)


def test_a_folder_cannot_be_overwritten(tmp_path):
    with pytest.raises(OSError, match="folder"):
        save_bytes(tmp_path, b"x")


def test_a_missing_folder_is_an_error(tmp_path):
    with pytest.raises(FileNotFoundError):
        save_bytes(tmp_path / "none" / "x.toml", b"x")


@posix
def test_a_read_only_file_is_refused(path, monkeypatch):
    path.chmod(0o444)
    monkeypatch.setattr(saving.os, "access", lambda *_: False)  # root may write anything
    with pytest.raises(PermissionError, match="read-only"):
        save(path, NEW)
    assert path.read_bytes() == OLD


def test_the_text_before_a_migration_is_kept_beside(path):
    kept = save(path, NEW, copy_of=OLD)
    assert kept is not None
    assert kept.name == "yard.before.toml"
    assert kept.read_bytes() == OLD
    assert keep_copy(path, b"again").name == "yard.before-2.toml"
    assert kept.read_bytes() == OLD


class Reader:
    """Reads a pipe in a thread until it is closed."""

    def __init__(self, pipe):
        self.data = b""
        self.thread = threading.Thread(target=self.read, args=(pipe,), daemon=True)
        self.thread.start()

    def read(self, pipe):
        with open(pipe, "rb") as file:
            self.data = file.read()

    def done(self):
        self.thread.join(30)
        assert not self.thread.is_alive()
        return self.data


@pytest.fixture
def pipe(tmp_path):
    place = tmp_path / "folder"
    place.mkdir()
    os.mkfifo(place / "pipe")
    return place / "pipe"


def kinds_in(folder):
    return [(one.name, stat.S_IFMT(one.lstat().st_mode)) for one in folder.iterdir()]


@posix
def test_a_pipe_a_device_and_a_socket_stay_what_they_are(pipe, tmp_path):
    door = socket.socket(socket.AF_UNIX)
    door.bind(str(tmp_path / "door"))
    link = tmp_path / "link"
    link.symlink_to("/dev/null")
    before = kinds_in(pipe.parent), kinds_in(tmp_path)
    for strange in (pipe, tmp_path / "door", link, "/dev/null"):
        for write in (save, save_bytes, save_result):
            with pytest.raises(OSError, match="not a regular file"):
                write(strange, b"data")
    assert (kinds_in(pipe.parent), kinds_in(tmp_path)) == before
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)
    door.close()


@posix
def test_a_result_goes_through_a_pipe_that_somebody_reads(pipe):
    data = bytes(range(256)) * 2000  # more than a pipe holds
    reader = Reader(pipe)
    written = False
    while not written:  # until the reader stands at the other end
        try:
            save_result(pipe, data, through=True)
            written = True
        except OSError as error:
            if error.errno != errno.ENXIO:
                raise
    assert reader.done() == data
    assert kinds_in(pipe.parent) == [("pipe", stat.S_IFIFO)]


@posix
def test_a_pipe_that_nobody_reads_is_refused_at_once(pipe):
    with pytest.raises(OSError, match="nobody reads"):
        save_result(pipe, b"data", through=True)


@posix
def test_a_result_goes_through_a_device(tmp_path):
    save_result("/dev/null", b"data", through=True)
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)
    if os.path.exists("/dev/full"):
        with pytest.raises(OSError, match="No space left"):
            save_result("/dev/full", b"data", through=True)


@posix
@pytest.mark.parametrize("kind", [stat.S_IFBLK, stat.S_IFSOCK])
def test_a_disk_and_a_socket_are_never_written(tmp_path, monkeypatch, kind):
    target = tmp_path / "disk"
    target.write_bytes(b"the whole disk")
    real = os.stat(target)
    found = os.stat_result((kind | 0o600, *real[1:10]))
    monkeypatch.setattr(saving.os, "stat", lambda *_args, **_more: found)
    with pytest.raises(OSError, match="not a regular file"):
        save_result(target, b"data", through=True)
    monkeypatch.undo()
    assert target.read_bytes() == b"the whole disk"


@posix
def test_a_file_that_was_removed_but_is_still_open_is_not_made_anew(tmp_path):
    gone = tmp_path / "gone"
    with gone.open("wb") as file:
        gone.unlink()
        with pytest.raises(OSError, match="not a regular file"):
            save_bytes(f"/proc/self/fd/{file.fileno()}", b"data")
    assert list(tmp_path.iterdir()) == []


def test_a_copy_that_cannot_be_written_whole_leaves_none(path, monkeypatch):
    def fail(*args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(saving.os, "fsync", fail)
    with pytest.raises(OSError, match="No space left"):
        save(path, NEW, copy_of=OLD)
    monkeypatch.undo()
    assert path.read_bytes() == OLD
    assert list(path.parent.iterdir()) == [path]
