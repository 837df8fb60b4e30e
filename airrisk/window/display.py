"""Whether a window can open here; Qt would abort the process instead of saying why."""

from __future__ import annotations

import ctypes
import importlib.util
import os
import re
import sys
from pathlib import Path

from airrisk.messages import Texts
from airrisk.wording.translation import tr

HEADLESS: Texts[str] = "or work without a window: airrisk assess FILE"
PACKAGE_OF_LIBRARY = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libOpenGL.so.0": "libopengl0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xinerama.so.0": "libxcb-xinerama0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libglib-2.0.so.0": "libglib2.0-0",
}


def reason_no_window() -> str | None:
    """One sentence with the cure when a window cannot open, else ``None``."""
    if importlib.util.find_spec("PySide6") is None:
        return tr(
            "The window needs PySide6: pip install PySide6-Essentials pyqtgraph; {otherwise}"
        ).format(otherwise=tr(HEADLESS))
    try:
        import PySide6.QtWidgets  # noqa: F401
    except ImportError as error:
        return _missing_library(str(error))
    if not sys.platform.startswith("linux") or os.environ.get("QT_QPA_PLATFORM"):
        return None
    if os.environ.get("WAYLAND_DISPLAY"):
        return None
    if not os.environ.get("DISPLAY"):
        return tr(
            "There is no display to open a window on (DISPLAY is not set): start it in a desktop "
            "session or under xvfb-run, {otherwise}"
        ).format(otherwise=tr(HEADLESS))
    return _xcb_reason()


def _xcb_reason() -> str | None:
    import PySide6

    plugin = Path(PySide6.__file__).parent / "Qt" / "plugins" / "platforms" / "libqxcb.so"
    if plugin.exists():
        try:
            ctypes.CDLL(str(plugin))
        except OSError as error:
            return _missing_library(str(error))
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError as error:
        return _missing_library(str(error))
    xcb.xcb_connect.restype = ctypes.c_void_p
    connection = xcb.xcb_connect(None, None)
    refused = xcb.xcb_connection_has_error(ctypes.c_void_p(connection))
    xcb.xcb_disconnect(ctypes.c_void_p(connection))
    if refused:
        return tr(
            "The display {DISPLAY} does not answer: start airrisk in a desktop session or under "
            "xvfb-run, {otherwise}"
        ).format(DISPLAY=repr(os.environ["DISPLAY"]), otherwise=tr(HEADLESS))
    return None


def _missing_library(message: str) -> str:
    found = re.search(r"(lib[\w+.-]+\.so[.\d]*)", message)
    library = found.group(1) if found else ""
    package = PACKAGE_OF_LIBRARY.get(library)
    if package:
        return tr(
            "The window needs the library {library}: apt-get install {package}, {otherwise}"
        ).format(library=library, package=package, otherwise=tr(HEADLESS))
    if library:
        return tr(
            "The window needs the library {library}, which is not installed; {otherwise}"
        ).format(library=library, otherwise=tr(HEADLESS))
    return tr("The window cannot start ({message}); {otherwise}").format(
        message=message, otherwise=tr(HEADLESS)
    )
