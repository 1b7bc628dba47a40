import json
from pathlib import Path

import pytest

from trainer.coaching.plan import Day
from trainer.coaching.planning import planned
from trainer.devices.remembered import KeptDay, LastChoices, Memory, SetUp
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.score.library import load_exercise

LEARNED = SetUp(
    PickupProfile(
        name="set-up",
        channel_use=ChannelUse.MPE,
        channel_of_course=(7, 6, 5, 4, 3, 2),
        bend_range_semitones=48.0,
        latency_ns=-300_000,
        latency_cycles=1.875,
        fixed_velocity=True,
    ),
    "2031-05-04T10:11:12+02:00",
    {"strings": ("Each string has its own channel.",)},
)
DAY = KeptDay("2031-05-04", Day(planned(30, [load_exercise("two-gates")]), 30, "two-gates", (1, 2)))
CHOICES = LastChoices("Hut pickup", "two-gates", "free", 7, "187/2", hear_line=True)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "remembered.json"


def test_devices_and_choices_come_back_as_they_were(path: Path) -> None:
    memory = Memory(path)
    memory.keep_device("Hut pickup", LEARNED)
    memory.keep_choices(CHOICES)
    memory.keep_day(DAY)

    again = Memory(path)

    assert again.day == DAY
    assert again.devices == {"Hut pickup": LEARNED}
    assert again.profile_of("Hut pickup") == LEARNED.profile
    assert again.choices == CHOICES
    assert again.trouble is None


def test_nothing_is_remembered_at_first_and_nothing_is_written(path: Path) -> None:
    memory = Memory(path)

    assert memory.profile_of("Hut pickup") is None
    assert memory.choices == LastChoices()
    assert not path.exists()


def test_two_windows_do_not_undo_one_another(path: Path) -> None:
    one, other = Memory(path), Memory(path)
    one.keep_device("Hut pickup", LEARNED)
    other.keep_choices(CHOICES)

    again = Memory(path)

    assert again.devices == {"Hut pickup": LEARNED}
    assert again.choices == CHOICES


def test_what_other_steps_had_found_is_kept(path: Path) -> None:
    memory = Memory(path)
    memory.keep_device("Hut pickup", LEARNED)

    memory.keep_device("Hut pickup", SetUp(PickupProfile(), "later", {"bend": ("Bend range: 24 semitones.",)}))

    assert Memory(path).devices["Hut pickup"] == SetUp(
        PickupProfile(), "later", {**LEARNED.findings, "bend": ("Bend range: 24 semitones.",)}
    )


def changed(path: Path, *keys: str | int, value: object) -> None:
    fields = json.loads(path.read_text(encoding="utf-8"))
    place = fields
    for key in keys[:-1]:
        place = place[key]
    place[keys[-1]] = value
    path.write_text(json.dumps(fields), encoding="utf-8")


@pytest.mark.parametrize(
    ("keys", "value", "words"),
    [
        (("boxwalk_remembered",), 2, "expected an object with 'boxwalk_remembered': 1"),
        (("devices", "Hut pickup", "profile", "channel_of_course"), [1, 1], "are not different ones of 1..16"),
        (("devices", "Hut pickup", "profile", "channel_of_course"), [0], "are not different ones of 1..16"),
        (("devices", "Hut pickup", "profile", "latency_ns"), "late", "devices.Hut pickup.profile.latency_ns"),
        (("devices", "Hut pickup", "profile", "latency_cycles"), float("nan"), "NaN is no number"),
        (("devices", "Hut pickup", "profile", "channel_use"), "odd", "devices.Hut pickup.profile.channel_use"),
        (("choices", "pace"), "slow", "choices.pace"),
        (("choices", "passes"), 0, "0 passes"),
        (("choices", "quarters_per_minute"), "1/0", "'1/0' quarters a minute"),
        (("day", "day", "plan", "items"), [], "items [] of a plan"),
        (("day", "day", "plan", "items", 0, "minutes"), 0, "item 1 of a plan cannot be played"),
        (("day", "day", "plan", "items", 0, "choice", "qpm"), 9.0, "tempo 9 is not in 10..400"),
        (("day", "day", "plan", "items", 0, "kind"), "party", "day.day.plan.items.0.kind"),
    ],
)
def test_a_file_that_is_not_as_expected_is_kept_aside_with_a_sentence(
    path: Path, keys: tuple[str | int, ...], value: object, words: str
) -> None:
    memory = Memory(path)
    memory.keep_day(DAY)
    memory.keep_device("Hut pickup", LEARNED)
    memory.keep_choices(CHOICES)
    changed(path, *keys, value=value)
    broken = path.read_bytes()

    again = Memory(path)

    aside = path.with_name("remembered.unread-1.json")
    assert again.devices == {}
    assert again.trouble is not None
    assert words in again.trouble
    assert str(aside) in again.trouble
    assert aside.read_bytes() == broken


@pytest.mark.parametrize("broken", [b"", b"{", b"\xff\xfe", b"[]", b"null", b"[" * 100_000])
def test_bytes_that_are_no_memory_at_all_do_not_stop_the_program(path: Path, broken: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(broken)

    memory = Memory(path)
    memory.keep_device("Hut pickup", LEARNED)

    assert memory.trouble is not None
    assert Memory(path).devices == {"Hut pickup": LEARNED}


def test_files_kept_aside_do_not_replace_one_another(path: Path) -> None:
    path.parent.mkdir()
    for broken in ("first", "second"):
        path.write_text(broken, encoding="utf-8")
        Memory(path)

    assert path.with_name("remembered.unread-1.json").read_text(encoding="utf-8") == "first"
    assert path.with_name("remembered.unread-2.json").read_text(encoding="utf-8") == "second"


def test_a_folder_that_cannot_be_written_to_is_said_and_the_program_goes_on(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file where the folder should be", encoding="utf-8")
    memory = Memory(tmp_path / "data" / "remembered.json")

    memory.keep_device("Hut pickup", LEARNED)

    assert memory.trouble is not None
    assert "cannot be remembered" in memory.trouble
    assert memory.profile_of("Hut pickup") == LEARNED.profile


def test_a_write_that_fails_half_way_leaves_the_old_file_whole(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    memory = Memory(path)
    memory.keep_device("Hut pickup", LEARNED)
    before = path.read_bytes()

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    memory.keep_choices(CHOICES)

    assert memory.trouble is not None
    assert "No space left" in memory.trouble
    assert path.read_bytes() == before
    assert [each.name for each in path.parent.iterdir()] == [path.name]


def test_whom_to_play_against_is_remembered(path: Path) -> None:
    Memory(path).keep_ghost("best")

    assert Memory(path).ghost == "best"
