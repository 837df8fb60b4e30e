"""What views and menus may ask of the main window."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from airrisk.study.cure_plan import PlanRecord
    from airrisk.window.cure_trial import CureTrial
    from airrisk.window.files import Files
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session
    from airrisk.window.status import StatusLine
    from airrisk.window.work_view import WorkView


class Stage(Protocol):
    """The main window as its views and menus see it."""

    session: Session
    files: Files
    edits: PartEdits
    work: WorkView
    status: StatusLine

    def close(self) -> bool:
        """Close the window, if what is not saved allows it."""

    def show_view(self, key: str) -> None:
        """Show one of the full views."""

    def turn_to(self, key: str) -> None:
        """Show a view and put the keyboard where its work begins."""

    def try_cheapest(self) -> None:
        """Try the cheapest proven cure in Explore."""

    def try_cure(self, plan: PlanRecord, only: int | None) -> None:
        """Try a plan, or one change of it, in Explore."""

    def apply_cure(self, trial: CureTrial) -> None:
        """Make a tried cure one edit."""

    def decide(self, finding: object = None) -> None:
        """Ask what is decided about a finding; without one the form offers all."""

    def go_to_part(self, name: object) -> None:
        """Show a part in the working view."""

    def go_to_source(self, finding: object) -> None:
        """Show a finding with the source of its rule."""

    def go_to_field(self, where: object) -> None:
        """Put the keyboard into a part's field."""

    def go_to_map(self) -> None:
        """Show where a fire may stand."""

    def go_to_offered(self, name: str) -> None:
        """Show the first value of a part that the program filled in."""

    def show_commands(self) -> None:
        """List everything that can be done now."""

    def set_theme(self, choice: str) -> None:
        """Use the light or dark look, or the desktop's own."""

    def set_text_size(self, percent: int) -> None:
        """Write everything in this size, in per cent of the usual one."""
