import pytest

from tests.devices.lines import line
from trainer.devices.faults import Fault, FaultError, FaultKind, Faults, faults_from_text

MS = 1_000_000


def test_the_text_form_of_faults_is_read() -> None:
    text = "miss 5, late 9 40; string 12\nunslid 16, restart 20 12,"

    assert faults_from_text(text) == Faults(
        (
            Fault(FaultKind.MISS, 5),
            Fault(FaultKind.LATE, 9, amount_ns=40 * MS),
            Fault(FaultKind.STRING, 12),
            Fault(FaultKind.UNSLID, 16),
            Fault(FaultKind.RESTART, 20, to_index=12),
        )
    )


def test_every_mistyped_fault_is_named_with_the_nearest_word() -> None:
    with pytest.raises(FaultError) as caught:
        faults_from_text("mis 4, late 9, restart 20 x, miss 3")

    assert str(caught.value).splitlines() == [
        "'mis 4': no fault is called 'mis'; did you mean 'miss'?",
        "'late 9': expected 'late NOTE MS' with whole numbers",
        "'restart 20 x': expected 'restart NOTE TO-NOTE' with whole numbers",
    ]


@pytest.mark.parametrize(
    ("faults", "complaint"),
    [
        ("miss 3", "miss 3: the line has notes 0 to 2, not 3"),
        ("unslid 1", "unslid 1: that note is written as a hammer, a slide is expected"),
        ("picked 0", "picked 0: that note is written as a pick, a hammer or pull is expected"),
        ("string 2", "string 2: no other string of this tuning has that pitch within 24 frets"),
        ("skip 0 1", "skip 0 1: a skip goes forward, over at least one note"),
        ("restart 0 2", "restart 0 2: a restart goes back, or to the same note"),
        ("miss 0, fret 0", "note 0 cannot have both fret and miss"),
    ],
)
def test_a_fault_without_a_place_in_the_line_is_refused(faults: str, complaint: str) -> None:
    with pytest.raises(FaultError) as caught:
        faults_from_text(faults).check(line("2/5 2/8h 6/2"))

    assert str(caught.value) == complaint


def test_of_planted_faults_those_remain_that_a_shorter_line_has_a_place_for() -> None:
    faults = faults_from_text("late 1 40, miss 2, unslid 1, late 9 40")

    assert faults.that_fit(line("2/5 2/8h 6/2")) == faults_from_text("late 1 40, miss 2")
