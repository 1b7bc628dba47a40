import itertools
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings

from tests.score.recipes import TABLES
from tests.sheets.test_text_tablature import line
from trainer.score.compose import compose
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_exercise
from trainer.score.meter import Meter
from trainer.score.one_line import exercise_from_line
from trainer.score.recipe import Recipe
from trainer.sheets.columns import columns_of
from trainer.sheets.marks import Blank, Bow, Box, Jump, Mark, Oval, Point, Rule, Shape, Words
from trainer.sheets.neck_marks import positions_visited
from trainer.sheets.pages import Document, Page, booklet_of, sheet_of
from trainer.sheets.paper import A4, HAIR_PT, LETTER, SLIDE_PT, SMALLEST_PT, Paper
from trainer.sheets.spacing import systems_of

# A line of each kind: what the shipped ones may lack.
LINES = [
    "E minor pentatonic, five-string-bass, strings 1-5, positions 1 2 3, up then down, legato, triplets",
    "A blues, strings 2-4, positions 1 2, threes up, triplet rest + two triplets, 7/8, slid",
    "C major, strings all, positions 1 2 3 4, up and down, legato, sixteenths",
    "A minor, strings 1-2, positions 1 2 3 4, fours down, dotted quarter, 5/4, slid",
    "F# minor, eight-string, strings all, positions 1 2, up then down, 5 a beat, 6/8",
    "A minor, strings 1-3, positions 1 2, fours down, half + whole + eighth, 4/4",
    "D minor pentatonic, strings 1-2, positions 1 2 3, steps 1+3 2+4, slid from below",
    "C blues, all-fourths, strings 1, whole neck, down, eighth + eighth rest, legato, slid, 60",
    "C major, ukulele, strings all, positions 1, up, thirty-seconds",
]


def texts(page: Page) -> list[Words]:
    return [mark for mark in page.marks if isinstance(mark, Words)]


def overlaps(page: Page) -> list[tuple[str, str]]:
    """The pairs of texts that touch; texts are swept from the left."""
    ordered = sorted(texts(page), key=lambda words: words.box.left_pt)
    return [
        (words.text, other.text)
        for at, words in enumerate(ordered)
        for other in itertools.takewhile(lambda o, w=words: o.box.left_pt < w.box.right_pt, ordered[at + 1 :])
        if words.box.overlaps(other.box)
    ]


def box_of(mark: Mark) -> Box:
    match mark:
        case Words() | Blank() | Jump():
            return mark.box
        case Oval():
            (x, y), across, down = mark.centre, mark.across_pt, mark.down_pt
            return Box(x - across, y - down, x + across, y + down)
        case Shape():
            points: tuple[Point, ...] = mark.corners
        case Rule() | Bow():
            points = (mark.start, mark.end)
    xs, ys = [point.x_pt for point in points], [point.y_pt for point in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def assert_lies_well(document: Document) -> None:
    for page in document.pages:
        paper = page.paper
        assert overlaps(page) == []
        for mark in page.marks:
            box = box_of(mark)
            assert paper.left_pt - 12 <= box.left_pt
            assert box.right_pt <= paper.width_pt - paper.right_pt + 0.01
            assert paper.top_pt <= box.top_pt
            assert box.bottom_pt <= paper.height_pt - 15
        assert min(words.size_pt for words in texts(page)) >= SMALLEST_PT
        assert min(mark.weight_pt for mark in page.marks if isinstance(mark, Rule)) >= HAIR_PT
    footers = [words.text for page in document.pages for words in texts(page) if " of " in words.text]
    count = len(document.pages)
    assert [text for text in footers if text in {f"{n} of {count}" for n in range(1, count + 1)}] == [
        f"{number} of {count}" for number in range(1, count + 1)
    ]


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
@pytest.mark.parametrize("name", exercise_names())
def test_nothing_overlaps_or_is_cut_off_on_a_shipped_sheet(name: str, paper: Paper) -> None:
    assert_lies_well(sheet_of(load_exercise(name), paper))


@pytest.mark.parametrize("text", LINES)
def test_nothing_overlaps_or_is_cut_off_on_any_kind_of_sheet(text: str) -> None:
    assert_lies_well(sheet_of(exercise_from_line(text)))


@given(TABLES)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
def test_nothing_overlaps_on_the_sheet_of_any_recipe(table: dict[str, object]) -> None:
    try:
        exercise = compose(Recipe.model_validate(table), "line")
    except Unplayable:
        return

    assert_lies_well(sheet_of(exercise))


@pytest.mark.parametrize("name", exercise_names())
def test_every_fret_of_the_line_is_on_its_string(name: str) -> None:
    exercise = load_exercise(name)

    document = sheet_of(exercise)

    figures = sorted(
        words.text for page in document.pages for words in texts(page) if words.bold and words.size_pt == 11.0
    )
    graces = sorted(
        words.text for page in document.pages for words in texts(page) if words.bold and words.size_pt == 8.5
    )
    assert figures == sorted(str(note.fret) for note in exercise.notes)
    assert graces == sorted(str(note.slide_from.fret) for note in exercise.notes if note.slide_from is not None)


def test_a_figure_stands_on_its_string() -> None:
    exercise = line("1/5", "6/7")

    page = sheet_of(exercise).pages[0]

    heights = {words.text: words.y_pt for words in texts(page) if words.bold and words.size_pt == 11.0}
    assert heights["7"] - heights["5"] == pytest.approx(5 * 10.5)


def test_a_slide_up_rises_and_a_slide_down_falls() -> None:
    page = sheet_of(line("1/5", "s1/7", "s1/3", "s9>2/4", "s2>3/4")).pages[0]

    slides = [mark for mark in page.marks if isinstance(mark, Rule) and mark.weight_pt == SLIDE_PT]
    rises = {round(mark.start.x_pt): mark.end.y_pt < mark.start.y_pt for mark in slides}
    assert [rises[x] for x in sorted(rises)] == [True, False, False, True]


def test_no_slide_runs_into_a_figure() -> None:
    for name in ("quarry-steps", "two-gates-slid", "deep-shaft"):
        for page in sheet_of(load_exercise(name)).pages:
            slides = [box_of(mark) for mark in page.marks if isinstance(mark, Rule) and mark.weight_pt == SLIDE_PT]
            figures = [words.box for words in texts(page) if words.bold and words.size_pt in {11.0, 8.5}]
            assert slides
            assert not any(slide.overlaps(figure) for slide in slides for figure in figures)


def test_bars_are_kept_whole_where_they_fit() -> None:
    columns = columns_of(load_exercise("long-terrace"))  # 24 notes a bar, as wide as the paper

    systems = systems_of(columns, 480.0)

    assert [system.ends_bar for system in systems] == [True] * 6


def test_a_bar_that_does_not_fit_is_broken_at_a_beat() -> None:
    columns = columns_of(load_exercise("seven-springs"))  # 28 notes a bar

    systems = systems_of(columns, 480.0)

    assert not systems[0].ends_bar
    assert all(columns[system.first].begins_beat for system in systems)


def test_a_beat_that_does_not_fit_is_broken_all_the_same() -> None:
    exercise = line(*["1/12"] * 64, step=Fraction(1, 64))

    systems = systems_of(columns_of(exercise), 300.0)

    assert len(systems) > 3
    assert all(system.width_pt <= 300.01 for system in systems)


def test_columns_never_go_back_and_stay_on_the_strings() -> None:
    for system in systems_of(columns_of(load_exercise("dry-wall")), 480.0):
        assert list(system.xs_pt) == sorted(system.xs_pt)
        assert system.xs_pt[-1] < system.width_pt <= 480.01


def test_a_position_an_octave_higher_is_a_visit_of_its_own() -> None:
    visited = positions_visited(load_exercise("quarry-steps"))

    assert [(position.number, position.first_fret) for position in visited] == [
        (4, 2),
        (5, 5),
        (1, 7),
        (2, 10),
        (3, 12),
        (4, 14),
    ]


def test_a_file_without_positions_has_no_necks() -> None:
    page = sheet_of(line("1/5", "1/7")).pages[0]

    assert not any("pos." in words.text for words in texts(page))


def test_what_no_sign_lasts_for_is_drawn_without_flags() -> None:
    exercise = line("1/5", "1/7", step=Fraction(137, 480), meter=Meter())

    assert_lies_well(sheet_of(exercise))


def test_a_booklet_lists_each_exercise_with_its_page() -> None:
    lines = [load_exercise(name) for name in ("long-terrace", "quarry-steps", "two-gates")]

    document = booklet_of(lines, "Ridge week")

    assert_lies_well(document)
    assert document.begins == (("Long terrace", 1), ("Quarry steps", 3), ("Two gates", 4))
    contents = [words.text for words in texts(document.pages[0])]
    assert contents[0] == "Ridge week"
    listed = [text for text in contents if text in {"Long terrace", "Quarry steps", "Two gates"} or text.isdigit()]
    assert listed == ["1", "Long terrace", "2", "2", "Quarry steps", "4", "3", "Two gates", "5"]
    jumps = [mark.page for mark in document.pages[0].marks if isinstance(mark, Jump)]
    assert jumps == [1, 3, 4]
    assert [texts(document.pages[page])[1].text for page in jumps] == ["Long terrace", "Quarry steps", "Two gates"]


def test_a_long_contents_list_goes_on_over_the_page_and_counts_itself() -> None:
    document = booklet_of([line("1/5")] * 70, "Many steps")

    assert_lies_well(document)
    assert document.begins[0] == ("Quarry steps", 2)
    assert len(document.pages) == 72


def test_an_empty_booklet_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one exercise"):
        booklet_of([], "Nothing")


def test_long_titles_and_texts_stay_on_the_page() -> None:
    exercise: Exercise = replace(
        load_exercise("two-gates"), title="Quarry " * 30 + "x" * 200, about="Ridge " * 400, key=""
    )

    assert_lies_well(sheet_of(exercise))
    assert_lies_well(booklet_of([exercise, exercise], "Quarry " * 40))
