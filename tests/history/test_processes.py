from hypothesis import given
from hypothesis import strategies as st

from trainer.history.processes import each, in_order


@given(st.permutations(range(12)))
def test_results_come_by_their_numbers_whatever_order_they_are_ready_in(order: list[int]) -> None:
    assert list(in_order((number, str(number)) for number in order)) == [str(number) for number in range(12)]


def test_a_result_is_handed_on_as_soon_as_it_is_its_turn() -> None:
    ready = iter([(1, "b"), (0, "a"), (2, "c")])
    given_out = in_order(ready)

    assert next(given_out) == "a"
    assert next(ready) == (2, "c")


def test_one_process_does_all_in_this_one_and_in_order() -> None:
    assert list(each(str, range(5), 1)) == ["0", "1", "2", "3", "4"]
