from trainer.devices.sound import SilentSound
from trainer.station import SIMULATED, Station


class Heard(SilentSound):
    is_audible = True


def test_the_status_says_that_nothing_can_be_heard_and_only_then() -> None:
    silent = Station(SIMULATED, SilentSound("no card was found"))
    audible = Station(SIMULATED, Heard("it stands in for a card"))

    assert silent.status == "No sound. A simulated player plays."
    assert audible.status == "A simulated player plays."
