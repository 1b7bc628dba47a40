import io
import random
from itertools import combinations, pairwise

import pytest
from pypdf import PdfReader

from tests.builders import line
from tests.progress.builders import a_pass, facts, line_played, weeks_played
from trainer.progress.facts import Ears, Facts
from trainer.progress.look import DARK, MARKERS, ON_SCREEN, PAPER, Look, between, contrast, luminance
from trainer.progress.painting import rendered
from trainer.progress.pictures import Picture, pictures_of
from trainer.progress.report import report_pdf


@pytest.fixture(scope="module")
def played() -> Facts:
    return weeks_played()


@pytest.fixture(scope="module")
def pictures(played: Facts) -> dict[str, Picture]:
    return {picture.name: picture for picture in pictures_of(played)}


def test_each_picture_says_what_it_shows(pictures: dict[str, Picture]) -> None:
    assert "Quarry steps" in pictures["tempo"].sentence
    assert "Dashed and hollow: legato." in pictures["tempo"].sentence
    assert "working tempo of the day" in pictures["tempo"].sentence
    assert "From string" in pictures["timing"].sentence
    assert "Most often off: string" in pictures["neck"].sentence
    assert "Notes 8 to 9" in pictures["transitions"].sentence
    assert "no longer stands out" in pictures["transitions"].sentence
    assert pictures["practice"].sentence.startswith("171 minutes of takes in 4 weeks, with 9 breaks")


def test_with_nothing_played_each_says_how_much_more_is_needed() -> None:
    empty = pictures_of(facts())

    assert all(picture.shown is None for picture in empty)
    assert [picture.sentence for picture in empty[:4]] == [
        "Not enough yet: a clean whole pass with the click is needed, 1 more.",
        "Not enough yet: 20 more notes with the click are needed.",
        "Not enough yet: 5 more tries of one place are needed.",
        "Not enough yet: 10 more passes of one line with the click are needed.",
    ]


@pytest.mark.parametrize(
    ("ears", "words"),
    [
        (Ears(knows_strings=False), "Nothing is said of strings: the pickup does not tell them."),
        (Ears(is_calibrated=False), "Strings are not compared: the pickup's latency was not measured"),
    ],
)
def test_it_says_why_strings_are_not_compared(ears: Ears, words: str) -> None:
    passes = [a_pass(line(), number) for number in range(6)]

    timing = pictures_of(facts(line_played(passes, ears=ears)))[1]

    assert words in timing.sentence


def test_where_the_string_is_unknown_the_neck_is_withheld() -> None:
    passes = [a_pass(line(), number) for number in range(6)]

    neck = pictures_of(facts(line_played(passes, ears=Ears(knows_strings=False))))[2]

    assert (neck.shown, neck.sentence) == (None, "Withheld: the pickup does not tell which string was played.")


@pytest.mark.parametrize("look", [PAPER, *ON_SCREEN.values()])
def test_everything_is_told_apart_in_grey(look: Look) -> None:
    """Contrast of marks against the ground at least 3:1 (WCAG 2.2, 1.4.11); between series 1.4:1 is our own choice."""
    assert all(contrast(colour, look.ground) >= 3 for colour in look.series)
    assert all(contrast(one, other) >= 1.4 for one, other in combinations(look.series, 2))
    assert contrast(look.fill, look.other_fill) >= 2
    assert contrast(look.ink, look.ground) >= 7
    assert contrast(look.muted, look.ground) >= 4.5
    assert len(set(MARKERS)) == len(look.series)


@pytest.mark.parametrize("look", [PAPER, *ON_SCREEN.values()])
def test_shades_go_one_way_in_luminance_and_carry_their_figure(look: Look) -> None:
    shades = [between(look.shades, step / 20) for step in range(21)]
    rises = [luminance(one) < luminance(other) for one, other in pairwise(shades)]

    assert len(set(rises)) == 1
    assert all(max(contrast(shade, end) for end in look.shades) >= 3.9 for shade in shades)


def test_luminance_and_contrast_are_those_of_the_guidelines() -> None:
    """WCAG 2.2: white and black are 21:1; #767676 on white is the well-known grey that just passes 4.5:1."""
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


def test_a_picture_is_drawn_in_the_size_that_is_asked_for(pictures: dict[str, Picture]) -> None:
    pixels = rendered(pictures["tempo"], (600, 300), 0.67, DARK)

    assert len(pixels) == 600 * 300 * 4
    assert len(set(pixels[::4])) > 20


def test_every_picture_stands_on_an_a4_sheet_with_its_title(played: Facts, pictures: dict[str, Picture]) -> None:
    pages = PdfReader(io.BytesIO(report_pdf(played, tuple(pictures.values())))).pages
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)

    assert len(pages) == 3
    assert all((round(page.mediabox.width), round(page.mediabox.height)) == (595, 842) for page in pages)
    assert all(picture.title in text for picture in pictures.values())


@pytest.mark.parametrize(
    ("ears", "said", "unsaid"),
    [
        (Ears(), "(string ", "pickup"),
        (Ears(is_calibrated=False), "part of it may be the pickup's", "nothing"),
        (Ears(knows_strings=False, is_calibrated=False), "(A4 to G4)", "string"),
    ],
)
def test_a_weak_change_of_string_is_told_as_far_as_the_pickup_tells(ears: Ears, said: str, unsaid: str) -> None:
    exercise = line()
    crossing = next(index for index in range(9, 30) if exercise.notes[index].course != exercise.notes[index - 1].course)
    chance = random.Random(1)
    passes = [
        a_pass(exercise, number, deviation=lambda _, index: chance.gauss(60 if index == crossing else 0, 6))
        for number in range(12)
    ]

    picture = pictures_of(facts(line_played(passes, exercise, ears)))[3]

    assert f"Notes {crossing - 1} to {crossing} " in picture.sentence
    assert said in picture.sentence
    assert unsaid not in picture.sentence
