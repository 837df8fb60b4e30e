"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
import stat
from pathlib import Path

from airrisk.installation.decoding import MAX_BYTES, decode, parse_toml, read_file
from airrisk.installation.migration import is_older
from airrisk.installation.problems import SystemFileErrors
from airrisk.messages import said

_FORMAT_LINE = re.compile(rb"^(?:\xef\xbb\xbf)?\s*format\s*=\s*\d", re.MULTILINE)


class SystemFileInTheWay(FileExistsError):
    """A result was to take the place of a system file."""


def save(path: str | Path, text: str | bytes, *, copy_of: bytes | None = None) -> Path | None:
    """Write a system file: afterwards it holds the old or the new text, never a mixture.

    Parameters
    ----------
    path : str or Path
        File to write; a symbolic link is followed.
    text : str or bytes
        The whole text, line ends and byte order mark as they are.
    copy_of : bytes, optional
        What the file held before its format was brought up to date; kept beside it.

    Returns
    -------
    Path or None
        Where the copy was kept.

    Raises
    ------
    OSError
        The file cannot be written; it is as it was.
    """
    data = text.encode("utf-8") if isinstance(text, str) else text
    kept = None if copy_of is None else keep_copy(path, copy_of)
    save_bytes(path, data)
    return kept


def outdated(path: str | Path, text: str) -> bytes | None:
    """What a file holds when its format is older than that of a text that will replace it.

    Parameters
    ----------
    path : str or Path
        The file, which need not be there.
    text : str
        The text that is about to be written.

    Returns
    -------
    bytes or None
        To be kept as a copy; None when nothing older stands there.
    """
    try:
        data = read_file(path)
        there = parse_toml(decode(data)).get("format")
        ours = parse_toml(text).get("format")
    except (OSError, SystemFileErrors):
        return None  # no system file, so nothing of an older format
    if not is_older(there) or not isinstance(ours, int) or isinstance(ours, bool):
        return None
    return data if isinstance(there, int) and there < ours else None


def save_bytes(path: str | Path, data: bytes) -> None:
    """Write a file whole or not at all.

    A file beside it is written, flushed to the disk and then takes its name, which both Windows
    and the other systems do in one step. The permissions of an existing file are kept.

    Parameters
    ----------
    path : str or Path
        File to write; a symbolic link is followed.
    data : bytes
        The whole content.

    Raises
    ------
    OSError
        The file cannot be written, or what has that name is no regular file; it is as it was.
    """
    target = Path(os.path.realpath(path))
    mode = _mode_of(Path(path), target)
    name = target.with_name(f".{secrets.token_hex(8)}.part")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    handle = os.open(name, flags, 0o666)  # a new file gets what the user's mask leaves
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if mode is not None:
            os.chmod(name, mode)
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    _flush_folder(target.parent)


def save_result(path: str | Path, data: bytes, *, through: bool = False) -> None:
    """Write a result file whole or not at all, and never over a system file.

    Parameters
    ----------
    path : str or Path
        File to write; a symbolic link is followed.
    data : bytes
        The whole content.
    through : bool
        Whether a pipe that somebody reads and a device such as a terminal get the data; a disk
        never does. Otherwise only regular files are written.

    Raises
    ------
    SystemFileInTheWay
        The name is one of a system file, or a system file stands there under another name.
    OSError
        The file cannot be written; it is as it was.
    """
    if is_for_system_files(path):
        raise SystemFileInTheWay(17, said("system-file-not-overwritten"), str(path))
    if through and passes_through(path):
        _write_through(path, data)
    else:
        save_bytes(path, data)


def passes_through(path: str | Path) -> bool:
    """Whether a pipe or a device such as a terminal stands there, which takes data in passing.

    Raises
    ------
    OSError
        What stands there cannot be looked at.
    """
    try:
        found = os.stat(path).st_mode
    except FileNotFoundError:
        return False
    return stat.S_ISFIFO(found) or stat.S_ISCHR(found)


def _write_through(path: str | Path, data: bytes) -> None:
    waiting = getattr(os, "O_NONBLOCK", 0)  # a pipe without a reader must not be waited for
    flags = os.O_WRONLY | waiting | getattr(os, "O_NOCTTY", 0) | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(path, flags)
    except OSError as error:
        if error.errno == errno.ENXIO:
            raise OSError(errno.ENXIO, said("nobody-reads-pipe"), str(path)) from None
        raise
    with os.fdopen(handle, "wb", buffering=0) as file:
        if waiting:
            os.set_blocking(handle, True)
        ahead = memoryview(data)
        while ahead:
            ahead = ahead[file.write(ahead) :]


def is_for_system_files(path: str | Path) -> bool:
    """Whether a path is kept for a system file: by its ending .toml, or by what stands there.

    Parameters
    ----------
    path : str or Path
        A symbolic link is followed.
    """
    target = Path(os.path.realpath(path))
    if ".toml" in {Path(path).suffix.casefold(), target.suffix.casefold()}:
        return True
    try:
        if not target.is_file():
            return False
        with open(target, "rb") as file:
            return _FORMAT_LINE.search(file.read(MAX_BYTES)) is not None
    except OSError:
        return False  # what cannot be read is told when it is written


def keep_copy(path: str | Path, data: bytes) -> Path:
    """Write a copy beside a file under a name that is not taken.

    Parameters
    ----------
    path : str or Path
        The file that the copy is of.
    data : bytes
        Content of the copy.

    Returns
    -------
    Path
        The copy: ``name.before.toml``, or with a number.

    Raises
    ------
    OSError
        The copy cannot be written.
    """
    target = Path(path)
    number = 1
    while True:
        count = "" if number == 1 else f"-{number}"
        copy = target.with_name(f"{target.stem}.before{count}{target.suffix}")
        try:
            file = open(copy, "xb")  # noqa: SIM115
        except FileExistsError:
            number += 1
            continue
        try:
            with file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(copy)
            raise
        return copy


def _mode_of(path: Path, target: Path) -> int | None:
    """Permissions of the file that will be replaced; None when there is none."""
    try:
        found = os.stat(path)
        there = os.stat(target)
    except FileNotFoundError:
        if os.path.exists(path):  # open somewhere, but without a name of its own
            raise _no_regular_file(path) from None
        return None
    if stat.S_ISDIR(found.st_mode):
        raise IsADirectoryError(21, said("target-is-folder"), str(path))
    if not stat.S_ISREG(found.st_mode) or not os.path.samestat(found, there):
        raise _no_regular_file(path)
    if not os.access(target, os.W_OK):
        raise PermissionError(13, said("file-read-only"), str(path))
    return stat.S_IMODE(found.st_mode)


def _no_regular_file(path: Path) -> OSError:
    return OSError(errno.EINVAL, said("target-is-no-regular-file"), str(path))


def _flush_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system lets folders be opened."""
    if os.name == "nt":
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
