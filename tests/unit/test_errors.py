import pytest

from pinfeather.errors import (
    ConvergenceError,
    InputError,
    InputFaultsError,
    OutOfRangeError,
    PinfeatherError,
    RecordConflictError,
    RecordError,
    RecordNotFoundError,
    StoreError,
)


@pytest.mark.parametrize(
    ("error", "also"),
    [
        (InputError("a", 1, "No."), ValueError),
        (OutOfRangeError("a", 1, "No."), InputError),
        (InputFaultsError([InputError("a", 1, "No.")]), ValueError),
        (ConvergenceError("No."), ArithmeticError),
        (RecordNotFoundError("No."), LookupError),
        (RecordConflictError("No."), RecordError),
        (StoreError("No."), OSError),
    ],
)
def test_every_error_is_the_programs_own_and_of_the_usual_python_kind(error, also):
    assert isinstance(error, PinfeatherError)
    assert isinstance(error, also)


def test_an_input_error_names_the_place_keeps_the_value_and_says_the_problem():
    error = InputError("lots[0].mean", "5", "Add a unit.")
    assert (error.name, error.value, error.problem) == ("lots[0].mean", "5", "Add a unit.")
    assert str(error) == "lots[0].mean: Add a unit."


def test_faults_are_kept_in_order_and_all_told_in_one_message():
    first, second = InputError("date", None, "Write a date."), InputError("air", "5", "Add a unit.")
    error = InputFaultsError([first, second])
    assert error.faults == (first, second)
    assert str(error) == "date: Write a date.; air: Add a unit."


def test_a_missing_record_is_not_a_conflict():
    assert not issubclass(RecordNotFoundError, RecordConflictError)
    assert not issubclass(InputError, RecordError)


def test_a_fault_list_does_not_change_when_the_callers_list_does():
    faults = [InputError("a", 1, "No.")]
    error = InputFaultsError(faults)
    faults.clear()
    assert len(error.faults) == 1
