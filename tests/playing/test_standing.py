from trainer.playing.messages import StampedMessage
from trainer.playing.standing import StandingState

BEND = bytes((0xE2, 0, 0x60))
RANGE = [bytes((0xB2, 101, 0)), bytes((0xB2, 100, 0)), bytes((0xB2, 6, 24))]
NULL = [bytes((0xB2, 101, 127)), bytes((0xB2, 100, 127))]


def standing(*messages: bytes) -> list[bytes]:
    state = StandingState()
    for number, data in enumerate(messages):
        state.feed(StampedMessage(number, data))
    return [message.data for message in state.preamble()]


def test_a_bend_range_and_a_bend_that_were_sent_once_are_told_to_every_new_listener() -> None:
    assert standing(*RANGE, BEND, bytes((0x92, 64, 100))) == [*RANGE, *NULL, BEND]


def test_after_all_controllers_were_reset_no_bend_stands_and_the_range_does() -> None:
    assert standing(*RANGE, BEND, bytes((0xB2, 121, 0))) == [*RANGE, *NULL]


def test_data_that_follows_a_reset_belongs_to_no_parameter() -> None:
    assert standing(*RANGE, bytes((0xB2, 121, 0)), bytes((0xB2, 6, 2))) == [*RANGE, *NULL]


def test_a_reset_of_one_channel_leaves_the_others_alone() -> None:
    assert standing(BEND, bytes((0xB3, 121, 0))) == [BEND]
