"""What the window works on: the document, its answers, the chosen part, the unit set.

The one place where document, dispatcher and widgets meet. Widgets read it and ask it to
change the document; they never calculate.
"""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from airrisk.editing import AnswerShelf, Document, StaleAnswer
from airrisk.editing.raw_values import Place, place_in_text
from airrisk.editing.review import same_but_work
from airrisk.study.actions import facts_of
from airrisk.window import calculations
from airrisk.window.dispatcher import Dispatcher, Failed, Progress, Result
from airrisk.wording.units import Units

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.study.records import Assessment, PartRecord

ASSESSMENT = "assessment"
SCREENING = "screening"
MINUTE = 60_000  # ms


class Session(QObject):
    """The open document with everything that hangs on it."""

    document_changed = Signal()  # text, path or clean state changed
    document_replaced = Signal()  # another document is open now
    answer_changed = Signal()  # a new answer came, or the present one became old
    progress_changed = Signal(object)  # Progress or None when nothing runs
    failed = Signal(object)  # Failed
    chosen_changed = Signal()
    taking_typed = Signal()  # what is typed somewhere and not told yet goes into the document now
    units_changed = Signal()

    def __init__(self, journal_folder: Path | None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.journal_folder = journal_folder
        self.dispatcher = Dispatcher(self)
        self.dispatcher.arrived.connect(self._take)
        self.dispatcher.failed.connect(self._take_failure)
        self.dispatcher.progressed.connect(self._take_progress)
        self.shelf = AnswerShelf()
        self._memory = calculations.Memory()
        self.failure: Failed | None = None
        self.answered_at: float | None = None
        self._cures: tuple[str, Assessment] | None = None  # text of the file, answer with plans
        self._compared, self._alike = ("", ""), False  # two texts, and what came of it
        self._unit_set = "metric"
        self._chosen: str | None = None
        self._begun = False  # the window chose it, nobody else
        self._chosen_place: Place | None = None  # where it stands in the text
        self._drawn: Installation | None = None
        self._drawn_text = ""
        self._document: Document | None = None
        self._ask_later = QTimer(self)
        self._ask_later.setSingleShot(True)
        self._ask_later.setInterval(15)
        self._ask_later.timeout.connect(self.calculate)
        self._midnight = QTimer(self)
        self._midnight.setInterval(MINUTE)
        self._midnight.timeout.connect(self.follow_the_day)

    @property
    def memory(self) -> calculations.Memory:
        """Answers of finished steps, for further questions about the same document."""
        return self._memory

    # -- the document ------------------------------------------------------------

    @property
    def document(self) -> Document | None:
        """The open document, None on the welcome page."""
        return self._document

    @property
    def installation(self) -> Installation | None:
        """What the text says now; None while it cannot be read."""
        return None if self._document is None else self._document.installation

    @property
    def drawn(self) -> Installation | None:
        """The last installation that could be read, for drawing while the text has errors."""
        return self._drawn

    def set_document(self, document: Document | None) -> None:
        """Work on another document (or none)."""
        if self._document is not None:
            self._document.close()
        for lane in (ASSESSMENT,):
            self.dispatcher.cancel(lane)
        self._document = document
        self._chosen = self._chosen_place = None
        self._drawn = None
        self.failure = None
        self.answered_at = None
        self.shelf.clear()
        self._midnight.stop()
        if document is not None:
            self._midnight.start()
            document.watch(self._document_told)
            self._drawn, self._drawn_text = document.installation, document.text
        self.document_replaced.emit()
        self.document_changed.emit()
        self.chosen_changed.emit()
        self.answer_changed.emit()
        self.units_changed.emit()
        self.calculate()

    def _document_told(self) -> None:
        assert self._document is not None
        if self._document.installation is not None:
            self._drawn, self._drawn_text = self._document.installation, self._document.text
        before = self._chosen
        self._follow_chosen()
        self.document_changed.emit()
        if self._chosen != before:
            self.chosen_changed.emit()
        if not self.is_current:
            self.answer_changed.emit()
            self._ask_later.start()

    # -- the chosen part ---------------------------------------------------------

    @property
    def chosen(self) -> str | None:
        """Id of the part, device, fire or place whose facts are shown."""
        return self._chosen

    @property
    def is_chosen_by_person(self) -> bool:
        """Whether somebody chose it; else the window began with it."""
        return self._chosen is not None and not self._begun

    def begin_with(self, name: str) -> None:
        """Show the facts of a part that nobody has asked for yet."""
        self.choose(name)
        self._begun = True

    def choose(self, name: str | None) -> None:
        """Show the facts of this part everywhere."""
        self._begun = False
        if name != self._chosen:
            self.take_typed()
            self._chosen, self._chosen_place = name, None
            self._follow_chosen()
            self.chosen_changed.emit()

    def _follow_chosen(self) -> None:
        """A part that is renamed, or whose renaming is undone, stays the chosen one."""
        if self._document is None or self._chosen is None:
            self._chosen_place = None
            return
        text = self._document.text
        place = place_in_text(text, self._chosen)
        if place is None:  # the plan may still show the old name, while the text has mistakes
            earlier = self._chosen_place or place_in_text(self._drawn_text, self._chosen)
            place = None if earlier is None else earlier.renamed_in(text)
        if place is not None:
            self._chosen, self._chosen_place = place.name, place

    def take_typed(self) -> None:
        """Put what is typed somewhere and not told yet into the document.

        Before anything that would leave it behind: saving, closing, choosing another part.
        """
        self.taking_typed.emit()

    def record(self, name: str | None = None) -> object | None:
        """The record of a part by id (the chosen one by default), None when there is none."""
        wanted = self._chosen if name is None else name
        installation = self.installation or self._drawn
        if wanted is None or installation is None:
            return None
        try:
            return installation.find(wanted)
        except KeyError:
            return None

    @property
    def chosen_holder(self) -> str | None:
        """The vessel or line that the chosen thing is or sits on."""
        record = self.record()
        seen: set[str] = set()
        while record is not None:
            name = str(getattr(record, "id", ""))
            installation = self.installation or self._drawn
            assert installation is not None
            if any(name == holder.id for holder in installation.holders()):
                return name
            where = getattr(record, "on", None)
            if not isinstance(where, str) or where in seen:
                break
            seen.add(where)
            record = self.record(where)
        return None

    # -- units -------------------------------------------------------------------

    @property
    def units(self) -> Units:
        """How numbers are shown now."""
        installation = self.installation or self._drawn
        if installation is None:
            return Units(self._unit_set)
        return Units(self._unit_set, installation.site.ambient_pressure)

    def set_unit_set(self, name: str) -> None:
        """Show numbers in another unit set; nothing is computed again."""
        if name != self._unit_set:
            self._unit_set = name
            self.units_changed.emit()

    # -- answers -----------------------------------------------------------------

    @property
    def assessment(self) -> Assessment | None:
        """The newest full answer, perhaps of an older revision."""
        answer = self.shelf.latest(ASSESSMENT)
        return None if answer is None else answer.value

    @property
    def cures(self) -> Assessment | None:
        """The answer with causes and plans, where somebody has asked for them as things stand."""
        present = self.assessment
        if self._cures is None or present is None or not self.same_findings(*self._cures):
            return None
        return replace(
            self._cures[1], actions=present.actions, action_register=present.action_register
        )

    def same_findings(self, text: str, answer: Assessment) -> bool:
        """Whether the answer to a text is that to the document, what is to be done aside."""
        document, present = self._document, self.assessment
        if document is None or present is None or not self.is_current or present.on != answer.on:
            return False
        if document.text == text:
            return True
        if self._compared != (text, document.text):
            self._compared = text, document.text
            self._alike = same_but_work(text, document.text) and Counter(
                facts_of(one) for one in present.findings
            ) == Counter(facts_of(one) for one in answer.findings)
        return self._alike

    def keep_cures(self, text: str, answer: Assessment) -> None:
        """Keep causes and plans of a text for all who show them."""
        self._cures = (text, answer)
        self.answer_changed.emit()

    @property
    def part_records(self) -> dict[str, PartRecord]:
        """The newest screening of each part, from the first partial answer on."""
        full, first = self.shelf.latest(ASSESSMENT), self.shelf.latest(SCREENING)
        if first is not None and (full is None or first.revision >= full.revision):
            return dict(first.value)
        return {} if full is None else dict(full.value.parts)

    @property
    def is_current(self) -> bool:
        """Whether the full answer belongs to the text as it is now, and to this day."""
        if self._document is None:
            return False
        return self.shelf.is_current(ASSESSMENT, self._document.revision) and self._is_of_today

    @property
    def _is_of_today(self) -> bool:
        """A plug may become overdue at midnight, without any change of the file."""
        assessment, installation = self.assessment, self.installation
        if assessment is None or installation is None:
            return True
        return bool(assessment.on == calculations.audit_day(installation))

    @property
    def moment(self) -> tuple[object, ...]:
        """What an answer belongs to: document, revision and day; empty without a document."""
        document, installation = self._document, self.installation
        if document is None:
            return ()
        day = None if installation is None else calculations.audit_day(installation)
        return id(document), document.revision, day

    def answer_for_export(self) -> Assessment:
        """The answer to exactly the present text, on this day.

        Raises
        ------
        StaleAnswer
            There is none, or it is older.
        """
        revision = -1 if self._document is None else self._document.revision
        answer: Assessment = self.shelf.for_export(ASSESSMENT, revision)
        if not self._is_of_today:
            raise StaleAnswer("The answer is of another day: wait until the calculation has ended.")
        return answer

    @property
    def parts_current(self) -> bool:
        """Whether the screening belongs to the text as it is now."""
        return self.is_current or (
            self._document is not None and self.shelf.is_current(SCREENING, self._document.revision)
        )

    def calculate(self) -> None:
        """Ask for the answer to the present text."""
        document = self._document
        if document is None or document.installation is None:
            self.dispatcher.cancel(ASSESSMENT)
            self.progress_changed.emit(None)
            return
        self.failure = None
        self.dispatcher.request(
            ASSESSMENT,
            document.revision,
            calculations.Assess(document.installation, document.text.encode("utf-8"), self._memory),
        )

    def follow_the_day(self) -> None:
        """Ask anew when the answer is of a day that has ended."""
        if not self._is_of_today and not self.dispatcher.busy(ASSESSMENT):
            self.answer_changed.emit()
            self.calculate()

    def cancel(self) -> None:
        """Stop the running calculation; the last answer stays, greyed."""
        self.dispatcher.cancel(ASSESSMENT)
        self.progress_changed.emit(None)

    def _take(self, result: Result) -> None:
        if result.lane != ASSESSMENT or self._document is None:
            return
        kind = result.part or ASSESSMENT
        if self.shelf.put(kind, result.revision, result.value):
            if not result.part:
                self.answered_at = time.monotonic()
                self.progress_changed.emit(None)
            self.answer_changed.emit()

    def _take_failure(self, failure: Failed) -> None:
        if failure.lane == ASSESSMENT:
            self.failure = failure
            self.progress_changed.emit(None)
            self.failed.emit(failure)
            self.answer_changed.emit()

    def _take_progress(self, progress: Progress) -> None:
        if progress.lane == ASSESSMENT:
            self.progress_changed.emit(progress)

    def close(self) -> None:
        """Stop the worker and let the document go."""
        self._ask_later.stop()
        self._midnight.stop()
        self.dispatcher.shutdown()
        if self._document is not None:
            self._document.close()
            self._document = None
