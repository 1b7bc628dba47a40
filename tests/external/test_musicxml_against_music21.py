"""MusicXML read here and by music21 (BSD-3-Clause, in the registry as `music21`) says the same.

The files are pages of our own, pages that music21 writes, and the MusicXML test suite of the LilyPond project (MIT)
that music21's wheel carries under musicxml/lilypondTestSuite.
"""

import random
import warnings
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import music21
import pytest
from music21.articulations import FretIndication, HammerOn, PullOff, StringIndication

from tests.score.pages import attributes, measure, on_disk, page, rest, staff_tuning, tab
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.musicxml_reading import read_musicxml, read_musicxml_file
from trainer.score.reading import Reading
from trainer.theory.technique import Technique

SUITE = Path(music21.common.getSourceFilePath()) / "musicxml" / "lilypondTestSuite"

# Where the two readings differ, and why ours stands.
DIFFERING = {
    "21f-Chord-ElementInBetween.xml": "music21 begins anew where a sign stands between the notes of a chord",
    "32c-MultipleNotationChildren.xml": "a printed accidental without <alter>: the standard takes pitch from <alter>",
    "33i-Ties-NotEnded.xml": "music21 ties over notes that carry no tie",
    "43d-MultiStaff-StaffChange.xml": "one voice on two staves of a piano: one staff is read here",
}

Heard = list[tuple[Fraction, int]]


def parsed(source: Path | str) -> music21.stream.Score:
    with warnings.catch_warnings():
        # music21 warns of what the suite is made to show.
        warnings.simplefilter("ignore")
        score = music21.converter.parse(source, format="musicxml", forceSource=True)
        assert isinstance(score, music21.stream.Score)
        return score.toSoundingPitch()


def heard_by_music21(score: music21.stream.Score) -> Iterator[Heard]:
    """Onset and sounding pitch of every note of each part, repeats written out and ties joined."""
    for part in score.parts:
        try:
            played = part.expandRepeats()
        except music21.repeat.ExpanderException:
            played = part
        notes = [note for note in played.stripTies().flatten().notes if not isinstance(note, music21.harmony.Harmony)]
        yield sorted((Fraction(note.offset), pitch.midi) for note in notes for pitch in note.pitches)


def heard_here(exercise: Exercise) -> Heard:
    # music21 keeps binary fractions as floats and others as fractions of at most 65535, which is exact here.
    return sorted((note.onset_quarters, note.pitch) for note in exercise.notes)


def readable(path: Path) -> bool:
    text = path.read_text(encoding="utf-8-sig", errors="replace") if path.suffix == ".xml" else ""
    # Grace notes have no length: where to put them is a matter of taste, and music21 leaves them on the beat.
    return "<grace" not in text and path.name not in DIFFERING and path.name not in UNPLAYABLE


# Nothing to play, or nothing that a guitar can: refused here with a sentence.
UNPLAYABLE = {
    "01a-Pitches-Pitches.xml",
    "01b-Pitches-Intervals.xml",
    "01d-Pitches-Microtones.xml",
    "01f-Pitches-EditorialMicrotoneAccidentals.xml",
    "02a-Rests-Durations.xml",
    "02b-Rests-PitchedRests.xml",
    "02c-Rests-MultiMeasureRests.xml",
    "12ad-Clefs-Extreme-Octave.xml",
    "32ab-Notations3.xml",
    "33d-Spanners-OctaveShifts.xml",
    "33e-Spanners-OctaveShifts-InvalidSize.xml",
    "41b-MultiParts-MoreThan10.xml",
    "41f-StaffGroups-Overlapping.xml",
    "41g-PartNoId.xml",
    "41h-TooManyParts.xml",
    "45a-SimpleRepeat.xml",
    "45c-RepeatMultipleTimes.xml",
    "45d-Repeats-Nested-Alternatives.xml",
    "45e-Repeats-Nested-Alternatives.xml",
    "45f-Repeats-InvalidEndings.xml",
    "46a-Barlines.xml",
    "51b-Header-Quotes.xml",
    "51c-MultipleRights.xml",
    "51d-EmptyTitle.xml",
    "52a-PageLayout.xml",
    "99a-Sibelius5-IgnoreBeaming.xml",
}

SUITE_FILES = [path for path in sorted(SUITE.glob("*.*ml")) + sorted(SUITE.glob("*.mxl")) if readable(path)]


def test_the_suite_is_there() -> None:
    assert len(SUITE_FILES) > 90


@pytest.mark.parametrize("path", SUITE_FILES, ids=lambda path: path.stem)
def test_a_suite_file_has_the_same_notes_at_the_same_times(path: Path) -> None:
    here = heard_here(read_musicxml(path))

    assert here in list(heard_by_music21(parsed(path)))


def part_of(path: Path, index: int, folder: Path) -> Path:
    """A copy of a score that holds only one of its parts."""
    head, *parts = path.read_text(encoding="utf-8").split("<part id=")
    names = head.split("<score-part id=")
    alone = names[0] + "<score-part id=" + names[index + 1].partition("</score-part>")[0] + "</score-part></part-list>"
    body = parts[index].partition("</part>")[0]
    return on_disk(folder, f"{alone}<part id={body}</part></score-partwise>")


# The fourth part has a chord with two notes on string 6 and three on string 5: see the test after this one.
@pytest.mark.parametrize("index", [0, 1, 2, 4, 5, 6, 7])
def test_every_tablature_staff_of_the_suite_has_the_same_places(index: int, tmp_path: Path) -> None:
    path = part_of(SUITE / "71e-TabStaves.xml", index, tmp_path)

    exercise = read_musicxml(path)

    assert places_here(exercise) == places_by_music21(parsed(path))


def every_file_of_the_suite() -> list[Path]:
    return sorted(path for path in SUITE.iterdir() if path.suffix in {".xml", ".mxl", ".musicxml"})


@pytest.mark.parametrize("path", every_file_of_the_suite(), ids=lambda path: path.name)
def test_every_file_of_the_suite_imports_or_is_refused_with_a_reason(path: Path) -> None:
    outcome = reading_or_refusal(path)

    if isinstance(outcome, str):
        assert outcome.startswith(str(path))
        assert len(outcome) > len(str(path)) + 10
    else:
        tuning, notes = outcome.exercise.tuning, outcome.exercise.notes
        assert [note.pitch for note in notes] == [tuning.pitch_at(note.location) for note in notes]


def reading_or_refusal(path: Path) -> Reading | str:
    try:
        return read_musicxml_file(path)
    except ExerciseError as refusal:
        return str(refusal)


@pytest.mark.parametrize("part", ["1", "2", "3", "5", "6", "7", "8"])
def test_string_fret_and_tuning_of_every_tablature_part_give_the_sounding_pitch(part: str) -> None:
    reading = read_musicxml_file(SUITE / "71e-TabStaves.xml", part)

    sounding = list(heard_by_music21(parsed(SUITE / "71e-TabStaves.xml")))[int(part) - 1]
    assert heard_here(reading.exercise) == sounding


def test_a_chord_of_the_suite_that_no_hand_can_play_is_refused(tmp_path: Path) -> None:
    path = part_of(SUITE / "71e-TabStaves.xml", 3, tmp_path)

    with pytest.raises(ExerciseError, match="measure 1: two notes at once on string 6, frets 0 and 5"):
        read_musicxml(path)


@pytest.mark.parametrize("name", sorted(UNPLAYABLE))
def test_what_a_guitar_cannot_play_is_refused_in_one_line(name: str) -> None:
    with pytest.raises(ExerciseError) as caught:
        read_musicxml(SUITE / name)

    assert "\n" not in str(caught.value)


Place = tuple[Fraction, int, int]


def places_here(exercise: Exercise) -> list[Place]:
    return sorted((note.onset_quarters, note.course, note.fret) for note in exercise.notes)


def places_by_music21(score: music21.stream.Score) -> list[Place]:
    places = []
    for note in score.flatten().notes:
        strings = [mark.number for mark in note.articulations if isinstance(mark, StringIndication)]
        frets = [mark.number for mark in note.articulations if isinstance(mark, FretIndication)]
        places += [(Fraction(note.offset), string, fret) for string, fret in zip(strings, frets, strict=True)]
    return sorted(places)


def techniques_by_music21(score: music21.stream.Score) -> list[Technique]:
    notes = list(score.flatten().notes)
    techniques = [Technique.PICK] * len(notes)
    kinds = {HammerOn: Technique.HAMMER, PullOff: Technique.PULL, music21.spanner.Glissando: Technique.SLIDE}
    for kind, technique in kinds.items():
        for spanner in score.flatten().getElementsByClass(kind):
            # By identity: notes that look alike are equal in music21.
            techniques[[note is spanner.getLast() for note in notes].index(True)] = technique
    return techniques


def test_techniques_lie_on_the_same_notes(tmp_path: Path) -> None:
    marks = {
        "hammer": ('<hammer-on type="start"/>', '<hammer-on type="stop"/>'),
        "pull": ('<pull-off type="start"/>', '<pull-off type="stop"/>'),
    }
    begin = {name: mark[0] for name, mark in marks.items()}
    end = {name: mark[1] for name, mark in marks.items()}
    text = page(
        measure(
            attributes("<time><beats>4</beats><beat-type>4</beat-type></time>" + staff_tuning()),
            tab("3/5", 30, technical=begin["hammer"]),
            tab("3/7", 30, technical=end["hammer"] + begin["pull"]),
            tab("3/5", 60, technical=end["pull"], notations='<slide type="start"/>'),
            tab("3/9", 60, notations='<slide type="stop"/>'),
            rest(60),
        ),
        measure(
            tab("2/5", 120, technical=begin["hammer"]),
            tab("1/8", 90, technical=end["hammer"], notations='<glissando type="start"/>'),
            tab("1/3", 30, notations='<glissando type="stop"/>'),
        ),
        head='<part-list><score-part id="P1"><part-name>Guitar</part-name></score-part></part-list>',
    )
    path = on_disk(tmp_path, text)

    exercise, score = read_musicxml(path), parsed(path)

    assert [note.technique for note in exercise.notes] == techniques_by_music21(score)
    assert places_here(exercise) == places_by_music21(score)


LENGTHS = [Fraction(1, n) for n in (1, 2, 3, 4, 5, 6, 7, 8)] + [Fraction(3, 2), Fraction(3, 4), Fraction(2, 3)]


@pytest.mark.parametrize("seed", range(12))
def test_a_line_that_music21_writes_comes_back_exactly(seed: int, tmp_path: Path) -> None:
    rng = random.Random(seed)
    written = music21.stream.Part()
    expected: list[Place] = []
    onset = Fraction(0)
    for _ in range(24):
        length = rng.choice(LENGTHS)
        string, fret = rng.randint(1, 6), rng.randint(0, 24)
        # A figure is repeated until it fills whole beats, as figures do in exercises.
        for _ in range(length.denominator):
            note = music21.note.Note(music21.pitch.Pitch((64, 59, 55, 50, 45, 40)[string - 1] + fret))
            note.quarterLength = length
            note.articulations = [StringIndication(string), FretIndication(fret)]
            written.insert(onset, note)
            expected.append((onset, string, fret))
            onset += length
    path = Path(music21.stream.Score([written]).write("musicxml", tmp_path / "line.musicxml"))

    exercise = read_musicxml(path)

    assert places_here(exercise) == sorted(expected)
