"""Our light and dark palettes, chart colours that survive colour-blindness, fonts."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QColor, QFont, QFontDatabase, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from airrisk.tables import resource_path

FONT_FAMILY = "DejaVu Sans"
FONT_POINTS = 9.0
CHART_PIXELS = 11
THEMES = ("light", "dark", "system")
TEXT_SIZES = (100, 125, 150, 200)  # per cent, as offered
LOOK = "airrisk look"  # property of the application: what it was dressed in

# The open colour scheme of Okabe and Ito (2008), made for colour-blind readers.
_BLACK, _ORANGE, _SKY, _GREEN, _YELLOW, _BLUE, _VERMILION, _PURPLE = (
    "#000000", "#E69F00", "#56B4E9", "#009E73", "#F0E442", "#0072B2", "#D55E00", "#CC79A7",
)  # fmt: skip


@dataclass(frozen=True)
class Colours:
    """The colours of one theme by what they mean."""

    dark: bool
    window: str
    surface: str  # cards, fields, chart ground
    raised: str  # bars, headings
    text: str
    quiet: str  # secondary text
    line: str  # lines between things, grids
    border: str  # of what can be used: 3:1 or more against every ground
    accent: str
    accent_text: str
    danger: str
    warning: str
    note: str
    sound: str
    unknown: str
    fire: str
    air: str
    metal: str
    series: tuple[str, ...]

    def of_severity(self, severity: str) -> str:
        """The colour that goes with the shape and word of a severity."""
        return {"danger": self.danger, "warning": self.warning, "note": self.note}.get(
            severity, self.unknown
        )


LIGHT = Colours(
    dark=False, window="#F3F4F1", surface="#FFFFFF", raised="#E7E9E4", text="#1C2321",
    quiet="#55605C", line="#C4CAC5", border="#69726D", accent="#005F8F", accent_text="#FFFFFF",
    danger="#B83C00", warning="#8A5A00", note="#4A5A6A", sound="#00694C", unknown="#5F6663",
    fire="#D55E00", air="#0072B2", metal="#6B4C6B",
    series=(_BLUE, _VERMILION, "#007F5C", "#B0568A", "#9A6A00", "#2E86B8", _BLACK),
)  # fmt: skip

DARK = Colours(
    dark=True, window="#1A1F1E", surface="#232A29", raised="#2D3634", text="#E8ECEA",
    quiet="#A9B4B0", line="#46524F", border="#86928C", accent="#58B1E0", accent_text="#0B1A22",
    danger="#FF8A57", warning="#F0B440", note="#A9BDD0", sound="#4FC7A0", unknown="#A3ADA9",
    fire="#FF8A57", air=_SKY, metal="#D9A0C4",
    series=(_SKY, "#FF8A57", "#35BF94", _PURPLE, _YELLOW, "#8FC7EE", "#FFFFFF"),
)  # fmt: skip

_present = LIGHT
_text_size = 100


def colours() -> Colours:
    """The colours of the theme in use."""
    return _present


def text_size() -> int:
    """Size of all text in per cent of the usual one."""
    return _text_size


def set_text_size(percent: int) -> None:
    """Choose the size of all text; the next ``apply_theme`` uses it."""
    global _text_size  # noqa: PLW0603 - one size for the one application
    _text_size = percent if percent in TEXT_SIZES else 100


def scaled(pixels: float) -> int:
    """A length in pixels at the usual size of text, as it is at the present one."""
    return round(pixels * _text_size / 100)


def chart_font() -> QFont:
    """The font of numbers and labels in charts."""
    font = QFont(FONT_FAMILY)
    font.setPixelSize(round(CHART_PIXELS * _text_size / 100))
    return font


def text_points() -> float:
    """Point size of plain text."""
    return FONT_POINTS * _text_size / 100


def system_prefers_dark() -> bool:
    """Whether the desktop asks for a dark look."""
    from PySide6.QtCore import Qt

    hints = QGuiApplication.styleHints()
    return hints.colorScheme() == Qt.ColorScheme.Dark


def _palette(theme: Colours) -> QPalette:
    palette = QPalette()
    role = QPalette.ColorRole
    pairs = {
        role.Window: theme.window, role.WindowText: theme.text, role.Base: theme.surface,
        role.AlternateBase: theme.raised, role.Text: theme.text, role.Button: theme.raised,
        role.ButtonText: theme.text, role.BrightText: theme.danger, role.Link: theme.accent,
        role.LinkVisited: theme.accent, role.Highlight: theme.accent,
        role.HighlightedText: theme.accent_text, role.ToolTipBase: theme.raised,
        role.ToolTipText: theme.text, role.PlaceholderText: theme.quiet,
        role.Light: theme.surface, role.Midlight: theme.raised, role.Mid: theme.line,
        role.Dark: theme.line, role.Shadow: "#000000",
    }  # fmt: skip
    for which, colour in pairs.items():
        palette.setColor(which, QColor(colour))
    for which in (role.Text, role.WindowText, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor(theme.unknown))
    return palette


# The style draws the border of a control in the colour of its window, made darker by this, and of
# a box to tick a little lighter again. The window's colour of a control is used for nothing else.
STYLE_DARKER, TICK_LIGHTER = 1.4, 1.1
BORDERED = {
    "QLineEdit": 1.0, "QComboBox": 1.0, "QAbstractSpinBox": 1.0, "QPushButton": 1.0,
    "QToolButton": 1.0, "QPlainTextEdit": 1.0, "QTextEdit": 1.0, "QListWidget": 1.0,
    "QCheckBox": TICK_LIGHTER,
}  # fmt: skip


def _bordered(palette: QPalette, theme: Colours, lighter: float) -> QPalette:
    """The palette of a control whose border is to be seen."""
    found = QPalette(palette)
    wanted = QColor(theme.border)
    value = min(wanted.valueF() * STYLE_DARKER / lighter, 1.0)
    window = QColor.fromHsvF(max(wanted.hueF(), 0.0), wanted.saturationF(), value)
    found.setColor(QPalette.ColorRole.Window, window)
    return found


def _sheet(theme: Colours) -> str:
    return f"""
    QToolTip {{ background: {theme.raised}; color: {theme.text}; border: 1px solid {theme.line};
        padding: 4px; }}
    QWidget[ground="surface"] {{ background: {theme.surface}; }}
    QWidget[ground="raised"] {{ background: {theme.raised}; }}
    QLabel[tone="quiet"] {{ color: {theme.quiet}; }}
    QLabel[tone="danger"] {{ color: {theme.danger}; }}
    QLabel[tone="warning"] {{ color: {theme.warning}; }}
    QLabel[tone="sound"] {{ color: {theme.sound}; }}
    QLabel[tone="note"] {{ color: {theme.note}; }}
    QLabel[tone="warning"]:disabled {{ color: {theme.unknown}; }}
    QToolButton[tone="quiet"] {{ color: {theme.quiet}; border: none; padding: 0 3px; }}
    QToolButton[tone="quiet"]:hover {{ color: {theme.accent}; }}
    QLabel[tone="title"] {{ font-weight: bold; }}
    QFrame[frame="card"] {{ background: {theme.surface}; border: 1px solid {theme.line};
        border-radius: 6px; }}
    QLabel[frame="told"] {{ background: {theme.raised}; border: 1px solid {theme.line};
        border-radius: 4px; }}
    QFrame[frame="scratch"] {{ border: 3px dashed {theme.warning}; border-radius: 6px; }}
    QToolButton[mode="true"] {{ border: 1px solid {theme.quiet}; padding: 3px 7px; }}
    QToolButton[mode="true"]:hover {{ border-color: {theme.accent}; }}
    QToolButton[mode="true"]:focus {{ border: 1px dotted {theme.text}; }}
    QToolButton[mode="true"]:checked {{ background: {theme.accent}; color: {theme.accent_text}; }}
    QPushButton[view="true"] {{ border: none; border-bottom: 3px solid transparent;
        padding: 7px 8px; background: transparent; }}
    QPushButton[view="true"]:hover {{ background: {theme.surface}; }}
    QPushButton[view="true"]:focus {{ border: 1px dotted {theme.accent};
        border-bottom: 3px solid {theme.line}; }}
    QPushButton[view="true"]:checked {{ border-bottom: 3px solid {theme.accent};
        background: {theme.surface}; }}
    QPushButton[narrow="true"] {{ padding: 7px 3px; }}
    QPushButton[fold="true"] {{ border: 1px solid transparent; background: transparent;
        text-align: left; padding: 2px; color: {theme.quiet}; }}
    QPushButton[fold="true"]:hover {{ color: {theme.accent}; }}
    QPushButton[fold="true"]:focus {{ border: 1px dotted {theme.accent}; }}
    QTabBar::tab {{ border: none; border-bottom: 3px solid transparent; padding: 5px 7px; }}
    QTabBar::tab:hover {{ background: {theme.surface}; }}
    QTabBar::tab:focus {{ border: 1px dotted {theme.accent};
        border-bottom: 3px solid {theme.accent}; }}
    QTabBar::tab:selected {{ border-bottom: 3px solid {theme.accent};
        background: {theme.surface}; }}
    QLineEdit[state="error"] {{ border: 2px solid {theme.danger}; border-radius: 3px; }}
    QLineEdit[locked="true"] {{ background: {theme.raised}; color: {theme.text};
        border: 1px dashed {theme.border}; border-radius: 3px; padding: 2px; }}
    QComboBox[locked="true"]:disabled {{ color: {theme.text}; background: {theme.raised};
        border: 1px dashed {theme.border}; border-radius: 3px; padding: 2px; }}
    QComboBox[locked="true"]::drop-down {{ width: 0; border: none; }}
    QSplitter::handle {{ background: {theme.line}; }}
    QSplitter::handle:horizontal {{ width: 1px; }}
    QSplitter::handle:vertical {{ height: 1px; }}
    """


def load_font() -> None:
    """Make the bundled font known to Qt."""
    for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"):
        QFontDatabase.addApplicationFont(str(resource_path(f"fonts/{name}")))


def apply_theme(application: QApplication, dark: bool) -> Colours:
    """Give the whole program one look; returns its colours."""
    global _present  # noqa: PLW0603 - one theme for the one application
    _present = DARK if dark else LIGHT
    wanted = f"{dark} {_text_size}"
    before = application.property(LOOK)
    if wanted == before:
        return _present  # to dress every widget of a large window takes a second
    if before is None:  # once: it dresses them all, too
        application.setStyle("Fusion")
    application.setProperty(LOOK, wanted)
    palette = _palette(_present)
    application.setPalette(palette)
    for kind, lighter in BORDERED.items():
        # the stubs ask for bytes, PySide6 for text
        application.setPalette(_bordered(palette, _present, lighter), kind)  # type: ignore[arg-type]
    font = QFont(FONT_FAMILY)
    font.setPointSizeF(text_points())
    application.setFont(font)
    application.setStyleSheet(_sheet(_present))
    return _present
