"""One field of the form: label, editor, origin, conversion, error."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QBoxLayout,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from airrisk.installation.fields import FieldSpec
from airrisk.window.facts.editors import ChoiceEditor, TextEditor
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr
from airrisk.wording.units import with_decimals

CHOICES = ("choice", "flag", "material", "alloy", "reference", "end", "outlet", "rule")

APART = 8  # px between the value in the other unit and where it comes from


def _default_word(spec: FieldSpec) -> str:
    """What a left-out field counts as, in the reader's words and with its decimals."""
    default = spec.default or ""
    if spec.is_numeric:
        return with_decimals(default)
    return {"true": tr("yes"), "false": tr("no")}.get(default) or choice_word(default)


def _valid_here(spec: FieldSpec) -> str:
    """What may be typed or chosen here; the file's own brackets and quotes are put by us."""
    if spec.choices and spec.kind not in ("outlet", "fire", "accepted"):
        return ", ".join(choice_word(word) for word in spec.choices)
    if spec.kind == "outlet":
        words = ", ".join(choice_word(word) for word in spec.choices)
        return tr("{words}, or a room").format(words=words)
    here = {
        "flag": tr("yes or no"),
        "text": tr("any words"),
        "date": tr("a date, for example 2026-11-01"),
        "months": tr("whole calendar months, for example 12 months or 1 year"),
        "calendar": tr("2 months, 6 weeks or 30 days"),
        "point": tr("two plain numbers in metres, for example 12.0, 3.5"),
        "cell": tr("two whole numbers, steps to the right and down, for example 12, 4"),
        "path": tr("places in metres, for example 0, 0; 4, 0; 4, 2.5"),
        "references": tr("ids with commas between them, for example R1, L1"),
    }
    return here.get(spec.kind) or tr(spec.valid_text())


class FieldRow(QWidget):
    """Label and editor of one field; tells what was typed as ``committed(key, text)``.

    A remark is written under the field: the small button or Ctrl+R opens its line, and
    ``remarked(key, text)`` tells it. A value that the program offered has a button to confirm it,
    told as ``confirmed(key)``.
    """

    committed = Signal(str, str)
    withdrawn = Signal()  # what was typed is taken back
    remarked = Signal(str, str)
    confirmed = Signal(str)

    def __init__(
        self, spec: FieldSpec, mnemonic: str, remarks: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.spec = spec
        self.table = ("", "")  # kind and id of the entry that the row is about
        self._remark = ""
        self.editor: TextEditor | ChoiceEditor = (
            ChoiceEditor() if spec.kind in CHOICES else TextEditor()
        )
        self.label = QLabel(mnemonic or tr(spec.label))
        self.label.setBuddy(self.editor)
        self.editor.setAccessibleName(tr(spec.label))  # its unit comes with its value
        self.label.setWordWrap(True)
        self.origin = QLabel()
        self.origin.setProperty("tone", "quiet")
        self.other = QLabel()
        self.other.setProperty("tone", "quiet")
        self.error = QLabel()
        self.error.setProperty("tone", "danger")
        self.error.setWordWrap(True)
        self.error.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.remark = QLabel()
        self.remark.setProperty("tone", "quiet")
        self.remark.setWordWrap(True)
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 2, 0, 2)
        layout.setVerticalSpacing(1)
        layout.setColumnStretch(0, 1)
        layout.addWidget(self.label, 0, 0)
        self._aside = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._aside.setSpacing(APART)
        self._aside.addWidget(self.other)
        self._aside.addWidget(self.origin)
        layout.addLayout(self._aside, 0, 1, 1, 2)
        beside = QHBoxLayout()
        beside.setSpacing(APART // 2)
        beside.addWidget(self.editor, 1)
        layout.addLayout(beside, 1, 0, 1, 4)
        self._make_confirm_button()
        beside.addWidget(self.confirm_button)
        self._make_remark_line(remarks)
        if remarks:
            layout.addWidget(self.remark_button, 0, 3)
        layout.addWidget(self.remark_line, 4, 0, 1, 4)
        layout.addWidget(self.error, 2, 0, 1, 4)
        layout.addWidget(self.remark, 3, 0, 1, 4)
        self.error.hide()
        self.remark.hide()
        self.editor.committed.connect(self._told)
        self.editor.withdrawn.connect(self._withdrawn)

    def _make_confirm_button(self) -> None:
        """For a value that the program offered."""
        self.confirm_button = QToolButton(self)
        self.confirm_button.setText(tr("Confirm"))
        self.confirm_button.setAccessibleName(
            tr("Confirm {field}").format(field=tr(self.spec.label))
        )
        self.confirm_button.setToolTip(
            tr("The program filled this in: confirm that it is so, or type the real value")
        )
        self.confirm_button.clicked.connect(self._confirm)
        self.confirm_button.hide()

    def _make_remark_line(self, remarks: bool) -> None:
        """The line of a remark, and the button and key that open it where there are remarks."""
        self.remark_line = TextEditor(self)
        self.remark_line.setAccessibleName(
            tr("Remark on {field}").format(field=tr(self.spec.label))
        )
        self.remark_line.committed.connect(self._remark_told)
        self.remark_line.editingFinished.connect(self._close_remark)
        self.remark_line.hide()
        self.remark_button = QToolButton(self)
        self.remark_button.setText("✎")
        self.remark_button.setAccessibleName(tr("Remark"))
        self.remark_button.setAutoRaise(True)
        self.remark_button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.remark_button.setProperty("tone", "quiet")
        self.remark_button.setToolTip(tr("Write a remark on this field (Ctrl+R)"))
        self.remark_button.clicked.connect(self.edit_remark)
        self.remark_button.setVisible(remarks)
        if remarks:
            key = QShortcut(QKeySequence("Ctrl+R"), self)
            key.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            key.activated.connect(self.edit_remark)

    def _told(self, text: str) -> None:
        self.committed.emit(self.spec.key, text)

    def _withdrawn(self) -> None:
        """Left as it was, which is told only where an error of what was typed stands here."""
        if not self.error.isHidden():
            self.withdrawn.emit()

    # -- what is typed and not in the file ---------------------------------------

    @property
    def has_typed(self) -> bool:
        """Whether the editor holds an entry that the file does not."""
        return self.editor.has_typed

    @property
    def typed_text(self) -> str:
        """What the editor holds."""
        return self.editor.typed

    def stands_in_file(self, typed: str | None) -> bool:
        """Whether this is still the text of the file that was shown before typing began."""
        return self.editor.shown == (typed or "")

    def tell_typed(self) -> None:
        """Tell what is typed, as leaving the field would."""
        if self.has_typed:
            self.editor.tell()
        if not self.remark_line.isHidden():
            self.remark_line.tell()

    def taken(self) -> None:
        """What was typed is in the file now."""
        self.editor.taken()

    def forget_typed(self) -> None:
        """Show the file's own text again and close the line for the remark."""
        self.editor.put_back()
        if not self.remark_line.isHidden():
            self.remark_line.put_back()
            self._close_remark()

    def show_value(
        self,
        typed: str | None,
        computed: str,
        words: tuple[str, ...],
        unit_set: str,
        called: Mapping[str, str] | None = None,
    ) -> None:
        """Show the typed text, or what a left-out field counts as.

        Parameters
        ----------
        typed
            Text in the file, None when left out.
        computed
            A value that follows from others, "" when none does.
        words
            What may be chosen, for fields with a closed list.
        unit_set
            Unit set of the range in the tool tip.
        called
            How some of the words are called here.
        """
        spec = self.spec
        if spec.default is None:
            fallback = computed or tr(spec.left_out)
        else:
            numeric = spec.is_numeric
            fallback = with_decimals(spec.default) if numeric else choice_word(spec.default)
        if isinstance(self.editor, ChoiceEditor):
            self.editor.show_value(typed or "", "" if spec.required else fallback, words, called)
        else:
            self.editor.show_value(typed or "", fallback)
        if typed is not None:
            origin = tr("typed")
        elif spec.required:
            origin = tr("missing")
        elif computed and spec.default is None:
            origin = tr("computed")
        else:
            origin = tr("default")
        self.origin.setText(origin)
        self._describe(origin, unit_set)

    def show_offered(self, offered: bool, may_confirm: bool) -> None:
        """Say that the program filled the value in, with the button to confirm it."""
        self.confirm_button.setVisible(offered and may_confirm)
        self.origin.setWordWrap(offered)  # the longest of its words; in some languages too long
        one_line, stacked = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.TopToBottom
        self._aside.setDirection(stacked if offered else one_line)
        self._aside.setSpacing(0 if offered else APART)
        if offered:
            said = tr("offered, not confirmed")
            self.origin.setText(said)
            described = self.editor.accessibleDescription().partition(". ")[2]
            self.editor.setAccessibleDescription(f"{said}. {described}")

    def _confirm(self) -> None:
        self.confirmed.emit(self.spec.key)

    def _describe(self, origin: str, unit_set: str) -> None:
        spec = self.spec
        unit = spec.unit_in(unit_set) if spec.is_quantity else ""
        pieces = [tr(spec.help)]
        bounds = spec.range_text(unit_set) if spec.is_numeric or spec.kind == "integer" else ""
        if bounds:
            pieces.append(tr("Valid: {range}.").format(range=with_decimals(tr(bounds))))
        else:
            pieces.append(tr("Valid: {range}.").format(range=_valid_here(spec)))
        if spec.default is not None:
            pieces.append(
                tr("Default {value}; source: {source}.").format(
                    value=_default_word(spec), source=tr(spec.source) or tr("none stated")
                )
            )
        tip = "\n".join(pieces)
        self.setToolTip(tip)
        self.editor.setToolTip(tip)
        self.editor.setAccessibleName(f"{tr(spec.label)}, {unit}" if unit else tr(spec.label))
        self.editor.setAccessibleDescription(f"{origin}. {tip}")

    def show_other_unit(self, text: str) -> None:
        """The same value in the chosen unit set, beside what was typed."""
        self.other.setText(text)
        self.other.setVisible(bool(text))

    def show_remark(self, text: str) -> None:
        """The remark that the file holds about this field."""
        self._remark = text
        self.remark.setText(tr("Remark: {text}").format(text=text) if text else "")
        self.remark.setVisible(bool(text) and self.remark_line.isHidden())
        if self.remark_line.isHidden():
            self.remark_line.show_value(text, "")

    def edit_remark(self) -> None:
        """Open the line for the remark and put the keyboard there."""
        self.remark_line.show_value(self._remark, tr("Remark; Return takes it, empty removes it"))
        self.remark.hide()
        self.remark_line.show()
        self.remark_line.setFocus(Qt.FocusReason.OtherFocusReason)

    def _remark_told(self, text: str) -> None:
        self.remarked.emit(self.spec.key, text)

    def _close_remark(self) -> None:
        had_focus = self.remark_line.hasFocus()
        self.remark_line.hide()
        self.remark.setVisible(bool(self._remark))
        if had_focus:
            self.editor.setFocus(Qt.FocusReason.OtherFocusReason)

    def lock(self, locked: bool) -> None:
        """Show the value without letting it change, and that it is so; remarks stay possible."""
        if isinstance(self.editor, TextEditor):
            self.editor.setReadOnly(locked)
        else:
            self.editor.setEnabled(not locked)
        if locked:
            self.origin.setText(tr("{origin}, locked").format(origin=self.origin.text()))
            described = tr("Locked.")
            if not self.editor.accessibleDescription().startswith(described):
                before = self.editor.accessibleDescription()
                self.editor.setAccessibleDescription(f"{described} {before}")
        if self.editor.property("locked") != locked:
            self.editor.setProperty("locked", locked)
            self.editor.style().unpolish(self.editor)
            self.editor.style().polish(self.editor)

    def show_error(self, text: str) -> None:
        """What is wrong with the value; empty when nothing is."""
        self.error.setText(text)
        self.error.setVisible(bool(text))
        state = "error" if text else ""
        if self.editor.property("state") != state:
            self.editor.setProperty("state", state)
            self.editor.style().unpolish(self.editor)
            self.editor.style().polish(self.editor)


def menu_letters() -> str:
    """The letters that open the menus of the window, and one that the desktop often takes."""
    titles = (tr("&File"), tr("&Edit"), tr("&View"), tr("&Help"))
    return "w" + "".join(title.partition("&")[2][:1] for title in titles)


def with_mnemonics(labels: list[str], taken: str = "") -> list[str]:
    """The labels with an ampersand before a letter, or else a digit, that no earlier one uses."""
    used = set(taken.casefold())
    out = []
    for label in labels:
        free = [i for i, c in enumerate(label) if c.isalnum() and c.casefold() not in used]
        index = min(free, key=lambda i: (label[i].isdigit(), i), default=None)
        if index is None:
            out.append(label)
        else:
            used.add(label[index].casefold())
            out.append(f"{label[:index]}&{label[index:]}")
    return out
