import json

import pytest

from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.playing.profiles import PROFILES, _profile, profile_named
from trainer.shipped import SHARED


def test_the_first_profile_offered_is_what_holds_when_nothing_is_said() -> None:
    first = next(iter(PROFILES.values()))

    assert first == PickupProfile()


def test_every_shipped_profile_is_read_under_its_own_name() -> None:
    entries = json.loads((SHARED / "pickups.json").read_text(encoding="utf-8"))["pickups"]

    assert [profile.name for profile in PROFILES.values()] == [entry["name"] for entry in entries]
    assert all(profile.title for profile in PROFILES.values())


def test_strings_have_channels_of_their_own_in_every_profile_that_separates_them() -> None:
    for profile in PROFILES.values():
        separates = profile.channel_use is not ChannelUse.ONE_CHANNEL
        assert len(profile.channel_of_course) >= 6 * separates
        assert len(set(profile.channel_of_course)) == len(profile.channel_of_course)


def test_an_unknown_name_is_answered_with_the_nearest() -> None:
    with pytest.raises(ValueError, match="no pickup is called 'mpee'; did you mean mpe"):
        profile_named("mpee")


@pytest.mark.parametrize("channels", [[1, 1, 2], [0, 1], [16, 17]])
def test_channels_that_are_not_different_ones_of_sixteen_are_refused_by_name(channels: list[int]) -> None:
    entry = {"name": "odd", "title": "Odd", "channel_use": "string-per-channel", "channel_of_course": channels}

    with pytest.raises(ValueError, match=r"pickup 'odd': channels .* are not different ones of 1\.\.16"):
        _profile(entry)
