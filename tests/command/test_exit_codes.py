"""Exit codes of an assessment: 0 nothing above a note, 1 findings, 3 a calculation failed."""

import dataclasses

import pytest

from airrisk.command.line import EXIT_CLEAR, EXIT_FAILED, EXIT_FINDINGS, exit_code
from airrisk.study.records import Failure, Finding
from tests.report import hand_made

SOUND = hand_made.fire(sure=True, doubts=())


def found(severity: str, **changes: object) -> Finding:
    return dataclasses.replace(Finding("fire-outcome", severity, "R1", ""), **changes)


@pytest.mark.parametrize(
    ("findings", "code"),
    [
        ((), EXIT_CLEAR),
        ((found("note"),), EXIT_CLEAR),
        ((found("warning"),), EXIT_FINDINGS),
        ((found("note"), found("danger")), EXIT_FINDINGS),
        ((found("danger", accepted="A1"),), EXIT_CLEAR),
    ],
)
def test_findings_above_a_note_that_nobody_accepted_give_1(findings, code):
    assert exit_code(hand_made.answered(SOUND, findings=findings)) == code


def test_a_failed_calculation_outranks_findings():
    failed = Failure("fire", "R1", "no air")
    answer = hand_made.answered(SOUND, findings=(found("danger"),), failures=(failed,))
    assert exit_code(answer) == EXIT_FAILED
    assert exit_code(hand_made.answered(SOUND, parts={})) == EXIT_FAILED


def test_one_run_that_did_not_end_outranks_a_run_as_stated_that_did():
    lost = hand_made.envelope(outcome="not converged")
    fire = hand_made.fire(safe=False, sure=None, doubts=(), envelope=lost)
    assert fire.outcome == "vents in time"
    assert exit_code(hand_made.answered(fire, findings=())) == EXIT_FAILED
