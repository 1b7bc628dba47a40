import io
import tempfile
import zipfile
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.score.pages import attributes, measure, on_disk, page, plain, rest, staff_tuning, tab
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.score.musicxml_reading import read_musicxml
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import TUNINGS

Read = Callable[..., Exercise]

H1 = '<hammer-on type="start">H</hammer-on>'
H2 = '<hammer-on type="stop"/>'
P1 = '<pull-off type="start">P</pull-off>'
P2 = '<pull-off type="stop"/>'
S1 = '<slide type="start"/>'
S2 = '<slide type="stop"/>'


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def read_text(text: str | bytes, name: str = "ridge-path.musicxml") -> Exercise:
        return read_musicxml(on_disk(tmp_path, text, name))

    return read_text


def places(exercise: Exercise) -> list[tuple[Fraction, int, int]]:
    return [(note.onset_quarters, note.course, note.fret) for note in exercise.notes]


def techniques(exercise: Exercise) -> list[Technique]:
    return [note.technique for note in exercise.notes]


def bar(*inside: str) -> str:
    return page(measure(attributes(staff_tuning()), *inside))


def test_a_note_is_read_whole(read: Read) -> None:
    text = bar(
        tab(
            "2/8",
            90,
            technical="<down-bow/><fingering>4</fingering>",
            notations="<articulations><accent/></articulations>",
            name="G4",
        )
    )

    exercise = read(text)

    assert exercise.notes == (
        ScoreNote(
            onset_quarters=Fraction(0),
            duration_quarters=Fraction(3, 2),
            location=Location(2, 8),
            pitch=67,
            stroke=Stroke.DOWN,
            finger=4,
            accent=True,
        ),
    )
    assert (exercise.name, exercise.title, exercise.tuning) == ("ridge-path", "ridge-path", TUNINGS["standard"])
    assert (exercise.tempo, exercise.meter, exercise.length_quarters) == (
        Tempo(Fraction(120)),
        Meter(4, 4),
        Fraction(3, 2),
    )


def test_title_key_meter_and_tempo_are_read(read: Read) -> None:
    time = "<key><fifths>2</fifths><mode>minor</mode></key><time><beats>6</beats><beat-type>8</beat-type></time>"
    text = page(
        measure(attributes(time + staff_tuning()), '<direction><sound tempo="92.5"/></direction>', tab("1/5")),
        head="<work><work-title>Two\n gates</work-title></work>",
    )

    exercise = read(text)

    assert (exercise.title, exercise.key, exercise.meter) == ("Two gates", "B minor", Meter(6, 8))
    assert exercise.tempo == Tempo(Fraction(185, 2))
    assert exercise.about == ""


def test_a_metronome_mark_counts_its_own_unit(read: Read) -> None:
    mark = "<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. 60</per-minute></metronome>"
    text = bar(f"<direction><direction-type>{mark}</direction-type></direction>", tab("1/5"))

    assert read(text).tempo == Tempo(Fraction(90))


def test_changes_that_a_steady_line_cannot_show_are_named(read: Read) -> None:
    text = page(
        measure(attributes("<time><beats>3</beats><beat-type>4</beat-type></time>"), '<sound tempo="80"/>', tab("1/5")),
        measure(
            attributes("<time><beats>2</beats><beat-type>4</beat-type></time>"),
            '<sound tempo="100"/>',
            tab("1/7"),
            more='number="2"',
        ),
    )

    exercise = read(text)

    assert exercise.about == (
        "The file changes its tempo; here the whole line is at the first one, 80 quarters a minute. "
        "The file changes its meter to 2/4 in measure 2; bars here are as at first."
    )


@pytest.mark.parametrize(
    ("open_strings", "place", "sounding"),
    [
        ("E2 A2 D3 G3 B3 E4", "6/3", 43),
        ("D2 A2 D3 G3 B3 E4", "6/3", 41),
        ("Eb2 Ab2 Db3 Gb3 Bb3 Eb4", "1/0", 63),
        ("B1 E2 A2 D3 G3 B3 E4", "7/0", 35),
        ("E1 A1 D2 G2", "1/2", 45),
    ],
)
def test_line_1_of_a_staff_tuning_is_the_last_string(read: Read, open_strings: str, place: str, sounding: int) -> None:
    exercise = read(page(measure(attributes(staff_tuning(open_strings)), tab(place, name="C4"))))

    assert [note.pitch for note in exercise.notes] == [sounding]
    assert len(exercise.tuning.open_pitches) == len(open_strings.split())


def test_a_capo_raises_every_string(read: Read) -> None:
    exercise = read(page(measure(attributes(staff_tuning(capo=2)), tab("1/3"), tab("6/0"))))

    assert [note.pitch for note in exercise.notes] == [69, 42]
    assert exercise.tuning.name == "standard, capo 2"


def test_places_without_a_tuning_tell_it_by_their_pitches(read: Read) -> None:
    text = page(measure(attributes(), tab("6/2", name="E2"), tab("5/0", name="A2")))

    assert read(text).tuning == TUNINGS["drop-d"]


def test_a_wrong_octave_is_no_tuning(read: Read) -> None:
    text = page(measure(attributes(), tab("6/2", name="F#3"), tab("5/0", name="A3")))

    assert read(text).tuning == TUNINGS["standard"]


def test_four_strings_in_the_low_octave_are_a_bass(read: Read) -> None:
    text = page(measure(attributes(), tab("4/3", name="G1"), tab("1/2", name="A2")))

    assert read(text).tuning == TUNINGS["bass"]


def test_odd_groups_and_dots_are_exact_fractions(read: Read) -> None:
    # 7 in a quarter does not divide into 60: an exporter rounds to 9 8 9 8 9 8 9, and the type says what is meant.
    ratio = "<time-modification><actual-notes>7</actual-notes><normal-notes>4</normal-notes></time-modification>"
    sevens = [
        tab(f"1/{fret}", length, after="<type>16th</type>" + ratio)
        for fret, length in enumerate([9, 8, 9, 8, 9, 8, 9], start=1)
    ]

    exercise = read(bar(*sevens, tab("1/8", 45, after="<type>eighth</type><dot/>"), tab("1/9", 15)))

    onsets = [note.onset_quarters for note in exercise.notes]
    assert onsets == [*(Fraction(step, 7) for step in range(7)), Fraction(1), Fraction(7, 4)]
    assert exercise.length_quarters == 2


def test_a_fragment_without_divisions_is_read_by_its_note_types(read: Read) -> None:
    text = page(measure(tab("4/5", 12, after="<type>half</type><dot/>"), tab("4/7", 4, after="<type>quarter</type>")))

    assert places(read(text)) == [(Fraction(0), 4, 5), (Fraction(3), 4, 7)]


def test_rests_backup_and_forward_move_the_time(read: Read) -> None:
    text = bar(
        rest(30),
        tab("1/5", 30),
        "<backup><duration>60</duration></backup>",
        tab("6/5", 120, before="<voice>2</voice>"),
        "<forward><duration>15</duration></forward>",
        tab("5/7", 45),
    )

    assert places(read(text)) == [(Fraction(0), 6, 5), (Fraction(1, 2), 1, 5), (Fraction(9, 4), 5, 7)]


def test_a_chord_has_one_onset(read: Read) -> None:
    text = bar(tab("6/3"), tab("5/2", before="<chord/>"), tab("4/0", before="<chord/>"), tab("1/3"))

    assert places(read(text)) == [(Fraction(0), 6, 3), (Fraction(0), 5, 2), (Fraction(0), 4, 0), (Fraction(1), 1, 3)]


def test_tied_notes_are_one_note_also_over_a_bar_line(read: Read) -> None:
    text = page(
        measure(attributes(staff_tuning()), tab("1/5", after='<tie type="start"/>')),
        measure(tab("1/5", after='<tie type="stop"/><tie type="start"/>'), tab("1/5", 30, after='<tie type="stop"/>')),
        measure(tab("1/5")),
    )

    notes = read(text).notes

    assert [(note.onset_quarters, note.duration_quarters) for note in notes] == [
        (Fraction(0), Fraction(5, 2)),
        (Fraction(5, 2), Fraction(1)),
    ]


def test_a_let_ring_mark_is_no_tie(read: Read) -> None:
    text = bar(tab("1/5", notations='<tied type="let-ring"/>'), tab("1/5"))

    assert len(read(text).notes) == 2


def test_a_technique_belongs_to_the_note_that_its_line_stops_at(read: Read) -> None:
    text = bar(
        tab("3/5", technical=H1),
        tab("3/7", technical=H2 + P1),
        tab("3/5", technical=P2, notations=S1),
        tab("3/9", notations=S2 + '<glissando type="start"/>'),
        tab("3/4", notations='<glissando type="stop"/>'),
    )

    exercise = read(text)

    assert techniques(exercise) == [
        Technique.PICK,
        Technique.HAMMER,
        Technique.PULL,
        Technique.SLIDE,
        Technique.SLIDE,
    ]
    assert all(note.slide_from is None for note in exercise.notes)


def test_a_hammer_on_from_nowhere_is_written_across_two_strings(read: Read) -> None:
    text = bar(tab("2/5", technical=H1), tab("1/8", technical=H2))

    assert techniques(read(text)) == [Technique.PICK, Technique.HAMMER]


def test_a_line_without_an_end_goes_to_the_next_note_of_its_voice(read: Read) -> None:
    text = bar(tab("2/5", technical=H1), tab("2/8"), tab("2/5"))

    assert techniques(read(text)) == [Technique.PICK, Technique.HAMMER, Technique.PICK]


def test_a_tap_begins_a_note_without_the_pick(read: Read) -> None:
    assert techniques(read(bar(tab("2/5"), tab("2/12", technical="<tap/>")))) == [Technique.PICK, Technique.HAMMER]


def test_a_slide_across_strings_is_refused_with_its_place(read: Read) -> None:
    text = bar("\n", tab("2/5", notations=S1), "\n", tab("1/8", notations=S2))

    with pytest.raises(
        ExerciseError, match=r"musicxml:3: measure \?: a slide from string 2 to string 1: .* its string$"
    ):
        read(text)


def test_a_grace_note_that_slides_is_where_the_main_note_slides_from(read: Read) -> None:
    text = bar(tab("1/5"), tab("1/8", None, notations=S1), tab("1/10", notations=S2))

    exercise = read(text)

    assert places(exercise) == [(Fraction(0), 1, 5), (Fraction(1), 1, 10)]
    assert (exercise.notes[1].technique, exercise.notes[1].slide_from) == (Technique.SLIDE, Location(1, 8))


def test_any_other_grace_note_is_a_short_note_before_the_beat(read: Read) -> None:
    text = bar(tab("1/5"), tab("1/8", None, technical=H1), tab("1/10", technical=H2))

    exercise = read(text)

    assert places(exercise) == [(Fraction(0), 1, 5), (Fraction(7, 8), 1, 8), (Fraction(1), 1, 10)]
    assert [note.duration_quarters for note in exercise.notes] == [Fraction(7, 8), Fraction(1, 8), Fraction(1)]
    assert techniques(exercise) == [Technique.PICK, Technique.PICK, Technique.HAMMER]


def test_grace_notes_at_the_very_start_take_their_time_from_the_main_note(read: Read) -> None:
    text = bar(tab("1/5", None), tab("1/7", None), tab("1/8", 60), tab("1/5", 60))

    assert places(read(text)) == [
        (Fraction(0), 1, 5),
        (Fraction(1, 8), 1, 7),
        (Fraction(1, 4), 1, 8),
        (Fraction(1), 1, 5),
    ]


def test_grace_notes_after_the_last_note_end_with_it(read: Read) -> None:
    exercise = read(bar(tab("1/5"), tab("1/7", None)))

    assert places(exercise) == [(Fraction(0), 1, 5), (Fraction(7, 8), 1, 7)]
    assert exercise.length_quarters == 1


def test_string_fret_and_tuning_win_over_the_written_pitch(read: Read) -> None:
    assert [note.pitch for note in read(bar(tab("1/5", name="C2"))).notes] == [69]


def test_notes_without_places_get_the_nearest_ones(read: Read) -> None:
    text = bar(plain("A4"), plain("C5"), plain("E4"), plain("G4"))

    assert places(read(text)) == [(Fraction(0), 1, 5), (Fraction(1), 1, 8), (Fraction(2), 2, 5), (Fraction(3), 2, 8)]


def test_pitches_are_found_as_they_sound_not_as_they_are_written(read: Read) -> None:
    transpose = "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    exercise = read(page(measure(attributes(transpose), plain("E4"), plain("A3"))))

    assert [note.pitch for note in exercise.notes] == [52, 45]


def test_one_note_without_a_place_follows_the_octave_of_those_with_one(read: Read) -> None:
    text = bar(tab("1/5", name="A5"), tab("2/5", name="E5"), plain("G5"))

    assert [note.pitch for note in read(text).notes] == [69, 64, 67]


def test_a_slide_between_pitches_stays_on_one_string(read: Read) -> None:
    text = bar(plain("G4", notations=S1), plain("F5", notations=S2))

    assert places(read(text)) == [(Fraction(0), 1, 3), (Fraction(1), 1, 13)]


def test_the_tablature_staff_is_chosen_among_staves_and_parts(read: Read) -> None:
    two_staves = measure(
        attributes("<staves>2</staves>" + staff_tuning().replace("<staff-details>", '<staff-details number="2">')),
        plain("A5", after="<staff>1</staff>"),
        "<backup><duration>60</duration></backup>",
        tab("1/5", before="<voice>5</voice>", after="<staff>2</staff>"),
    )
    text = page(measure(attributes(), plain("C4"), plain("D4"))).replace(
        "</score-partwise>", f'<part id="P2">{two_staves}</part></score-partwise>'
    )

    assert places(read(text)) == [(Fraction(0), 1, 5)]


def repeat(direction: str, more: str = "") -> str:
    return f'<barline><repeat direction="{direction}" {more}/></barline>'


def ending(number: str, kind: str, inside: str = "") -> str:
    return f'<barline><ending number="{number}" type="{kind}"/>{inside}</barline>'


def frets(exercise: Exercise) -> str:
    return " ".join(str(note.fret) for note in exercise.notes)


@pytest.mark.parametrize(
    ("measures", "played"),
    [
        ([tab("1/1"), tab("1/2") + repeat("backward"), tab("1/3")], "1 2 1 2 3"),
        ([tab("1/1"), repeat("forward") + tab("1/2") + repeat("backward", 'times="3"'), tab("1/3")], "1 2 2 2 3"),
        ([tab("1/1") + repeat("backward"), tab("1/2") + repeat("backward")], "1 1 2 2"),
        (
            [
                repeat("forward") + tab("1/1"),
                ending("1", "start") + tab("1/2") + ending("1", "stop", '<repeat direction="backward"/>'),
                ending("2", "start") + tab("1/3") + ending("2", "discontinue"),
                tab("1/4"),
            ],
            "1 2 1 3 4",
        ),
        (
            [
                tab("1/1"),
                ending("1, 2", "start") + tab("1/2") + ending("1, 2", "stop", '<repeat direction="backward"/>'),
                ending("3", "start") + tab("1/3") + ending("3", "stop"),
                tab("1/4") + repeat("backward"),
            ],
            "1 2 1 2 1 3 4 4",
        ),
    ],
)
def test_repeats_and_endings_are_written_out(read: Read, measures: list[str], played: str) -> None:
    exercise = read(
        page(measure(attributes(staff_tuning()), measures[0]), *(measure(inside) for inside in measures[1:]))
    )

    assert frets(exercise) == played
    assert [note.onset_quarters for note in exercise.notes] == list(range(len(played.split())))
    assert exercise.length_quarters == len(played.split())


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (page(measure(attributes("<divisions>0</divisions>", 1), rest())), "holds no notes to play"),
        (bar('<sound dalsegno="a"/>', tab("1/5")), r":1: a jump \(dalsegno\) is not followed: write"),
        (bar(tab("7/5")), "expected a string from 1 to 6, found 7"),
        (bar(tab("1/25")), "expected a fret from 0 to 24, found 25"),
        (bar(tab("1/x")), "<fret>: expected a number of at least 0, found 'x'"),
        (bar(tab("1/5"), tab("1/7", before="<chord/>")), "two notes at once on string 1, frets 5 and 7"),
        (bar(plain("C2")), r"C2 \(MIDI 36\) has no free place on frets 0 to 24 of standard"),
        (bar("<note><unpitched/><duration>60</duration></note>"), "neither a pitch nor a string and fret"),
        (bar('<sound tempo="900"/>', tab("1/5")), "tempo 900 is not in 10..400"),
        (bar(tab("1/5", 10**8)), "is longer than 20000 quarters"),
        (page(*[measure(tab("1/5"), repeat("backward", 'times="999"'))] * 9), "repeats written out"),
        ("<score-timewise/>", "is ordered by measure"),
        ("<html/>", "is not MusicXML: expected <score-partwise>, found <html>"),
        ("<score-partwise>", ":1: is not well-formed XML"),
        ("", "is not well-formed XML"),
    ],
)
def test_what_cannot_be_played_is_refused_in_one_line(read: Read, text: str, complaint: str) -> None:
    with pytest.raises(ExerciseError, match=complaint) as caught:
        read(text)

    assert str(caught.value).count("\n") == 0


BILLION = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))


@pytest.mark.parametrize(
    "prolog",
    [
        f'<!DOCTYPE score-partwise [<!ENTITY a0 "ha">{BILLION}]>',
        '<!DOCTYPE score-partwise [<!ENTITY a SYSTEM "file:///etc/hostname">]>',
        '<!DOCTYPE score-partwise [<!ENTITY % a SYSTEM "http://127.0.0.1:9/a.dtd"> %a;]>',
    ],
)
def test_entities_are_refused(read: Read, prolog: str) -> None:
    with pytest.raises(ExerciseError, match="declares entities or external references, which are refused"):
        read(page(measure(tab("1/5")), prolog=prolog))


def test_the_doctype_that_real_files_carry_is_accepted_and_not_fetched(read: Read) -> None:
    # Nothing listens on port 9 of this machine: fetching would fail.
    doctype = (
        '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://127.0.0.1:9/p.dtd">'
    )

    assert read(page(measure(tab("1/5")), prolog=doctype)).notes


def compressed(files: dict[str, str], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", method) as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return packed.getvalue()


def container(name: str) -> dict[str, str]:
    return {"META-INF/container.xml": f'<container><rootfiles><rootfile full-path="{name}"/></rootfiles></container>'}


def test_a_compressed_file_is_the_same_exercise(read: Read) -> None:
    text = bar(tab("1/5"), tab("1/8"))

    packed = read(compressed(container("score.xml") | {"score.xml": text}), "ridge-path.mxl")

    assert packed == read(text)


@pytest.mark.parametrize(
    ("data", "complaint"),
    [
        (compressed({"score.xml": bar(tab("1/5"))}), "without META-INF/container.xml"),
        (compressed(container("gone.xml")), "without gone.xml"),
        (compressed(container("../../etc/hostname")), "points outside itself"),
        (compressed(container("/etc/hostname")), "points outside itself"),
        (compressed(container("score.xml") | {"score.xml": " " * 17_000_000}), "is too large: expected at most 16 MB"),
        (compressed({"META-INF/container.xml": "<container/>"}), "names no score"),
        (compressed(container("score.xml"))[:60], "cannot be unpacked"),
        (b"no archive", "expected a zip archive"),
    ],
)
def test_a_bad_compressed_file_is_refused(read: Read, data: bytes, complaint: str) -> None:
    with pytest.raises(ExerciseError, match=complaint):
        read(data, "ridge-path.mxl")


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ExerciseError, match=r"gone\.musicxml: cannot be read \(No such file"):
        read_musicxml(tmp_path / "gone.musicxml")


WHOLE = bar(
    tab("1/5", technical=H1), tab("1/8", technical=H2), tab("2/3", None, notations=S1), tab("2/5", notations=S2)
)
PACKED = compressed(container("score.xml") | {"score.xml": WHOLE})


def refusal_of(data: bytes) -> str:
    """What is said about a file of these bytes; nothing if it is an exercise."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            read_musicxml(on_disk(Path(folder), data, "a.musicxml"))
        except ExerciseError as error:
            return str(error)
    return ""


@settings(deadline=None, max_examples=150)
@given(
    st.one_of(
        st.binary(max_size=200),
        st.integers(0, len(PACKED)).map(lambda end: PACKED[:end]),
        st.integers(0, len(WHOLE)).map(lambda end: WHOLE[:end].encode()),
        st.tuples(st.integers(0, len(PACKED) - 1), st.binary(min_size=1, max_size=4)).map(
            lambda cut: PACKED[: cut[0]] + cut[1] + PACKED[cut[0] + len(cut[1]) :]
        ),
    )
)
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    assert "\n" not in refusal_of(data)


NUMBERS = ("60", "0", "-1", "1e9", "3/2", "999999999", "", "x", "1.5", "\u0663")


@settings(deadline=None, max_examples=150)
@given(st.lists(st.tuples(st.integers(0, 40), st.sampled_from(NUMBERS)), min_size=1, max_size=4))
def test_any_value_in_any_place_is_read_or_refused(changes: list[tuple[int, str]]) -> None:
    pieces = page(
        measure(
            attributes("<time><beats>4</beats><beat-type>4</beat-type></time>" + staff_tuning()), tab("1/5"), rest()
        ),
        measure(repeat("forward"), tab("1/8", None), tab("1/7"), plain("E4"), repeat("backward", 'times="2"')),
    ).split("</")
    for at, value in changes:
        # Every piece ends in the text of the element that closes after it.
        head, bracket, text = pieces[at % len(pieces)].rpartition(">")
        pieces[at % len(pieces)] = head + bracket + (value if text else text)

    assert "\n" not in refusal_of("</".join(pieces).encode())
