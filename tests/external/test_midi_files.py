"""Takes and foreign MIDI files against mido 1.3 (PyPI), an independent reader and writer of Standard MIDI Files 1.0."""

from fractions import Fraction

import mido
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.playing.messages import StampedMessage
from trainer.playing.take import read_take

DATA = st.integers(0, 127)
DELTAS = st.integers(0, 5000) | st.sampled_from([0, 0, 127, 128, 16_383, 16_384])


def events() -> st.SearchStrategy[mido.Message | mido.MetaMessage]:
    channels = st.integers(0, 15)
    notes = st.builds(
        mido.Message,
        st.sampled_from(["note_on", "note_off"]),
        channel=channels,
        note=DATA,
        velocity=DATA,
        time=DELTAS,
    )
    bends = st.builds(
        mido.Message, st.just("pitchwheel"), channel=channels, pitch=st.integers(-8192, 8191), time=DELTAS
    )
    controls = st.builds(
        mido.Message, st.just("control_change"), channel=channels, control=DATA, value=DATA, time=DELTAS
    )
    exclusives = st.builds(mido.Message, st.just("sysex"), data=st.lists(DATA, max_size=200), time=DELTAS)
    tempos = st.builds(mido.MetaMessage, st.just("set_tempo"), tempo=st.integers(1, 0xFFFFFF), time=DELTAS)
    texts = st.builds(mido.MetaMessage, st.just("text"), text=st.just("Ridge path"), time=DELTAS)
    return notes | bends | controls | exclusives | tempos | texts


def expected(file: mido.MidiFile) -> tuple[StampedMessage, ...]:
    """The messages of a file with stamps by the formula of the standard: quarters times the tempo in us, exactly."""
    stamp_ns, tempo_us = Fraction(0), 500_000
    messages = []
    for event in file.merged_track:
        stamp_ns += Fraction(int(event.time) * tempo_us * 1000, file.ticks_per_beat)
        if isinstance(event, mido.Message):
            messages.append(StampedMessage(int(stamp_ns + Fraction(1, 2)), bytes(event.bytes())))
        elif event.type == "set_tempo":
            tempo_us = event.tempo
    return tuple(messages)


@given(st.lists(st.lists(events(), max_size=12), min_size=1, max_size=4), st.sampled_from([1, 7, 96, 480, 960, 32_767]))
def test_a_file_that_mido_wrote_reads_as_the_messages_that_went_in_at_their_exact_times(
    tmp_path_factory: pytest.TempPathFactory, tracks: list[list[mido.Message | mido.MetaMessage]], division: int
) -> None:
    path = tmp_path_factory.mktemp("foreign") / "foreign.mid"
    form = 0 if len(tracks) == 1 else 1
    file = mido.MidiFile(type=form, ticks_per_beat=division, tracks=[mido.MidiTrack(track) for track in tracks])
    file.save(path)

    take = read_take(path)

    assert take.header is None
    assert take.messages == expected(mido.MidiFile(path))
