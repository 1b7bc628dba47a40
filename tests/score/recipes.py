"""Recipes as hypothesis draws them: every field, mostly near an end of the neck, whether they can be played or not."""

from hypothesis import strategies as st

from trainer.score.recipe import Recipe
from trainer.theory.scale import SCALES
from trainer.theory.tuning import TUNINGS

ROOTS = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
MOVES = ["climb by one", "up two down one", "up three down two", "up one down two", "climb by four"]
ENDS = ["turning", "wrapping", "stopping"]
MARKED_STEPS = st.lists(
    st.builds("{}{}".format, st.sampled_from(["", "", "h", "p", "s"]), st.integers(1, 4)), min_size=1, max_size=5
)
LISTED = st.lists(st.integers(1, 3), min_size=1, max_size=4).map(lambda numbers: " ".join(map(str, numbers)))
RULED = st.builds(
    "{} from {} for {} {}".format,
    st.sampled_from(MOVES),
    st.sampled_from(["1", "2", "3", "4", "5", "lowest", "highest"]),
    st.integers(1, 12),
    st.sampled_from(ENDS),
)
CELLS = st.one_of(
    st.sampled_from(
        [
            *(
                "down",
                "up",
                "up and down",
                "up then down",
                "fours down",
                "fives down",
                "fives up",
                "threes up and down",
            ),
            *("thirds up", "sixths up and down", "triads up", "seventh chords down", "figure 1 3 2 up and down"),
            *("string skips up", "pedal up and down", "arpeggio 1 up", "seventh arpeggio 2 5 1 up and down"),
            *("mixed 2 3 up", "mixed 3 4 5 by chance 7 down", "orders of 1 2 3", "orders of 1 2 4 in turn"),
            *("steps 1+3 2+4", "steps 1 r 2 ~ | 3 4 ~", "two fours down then a five up"),
            *("fours down or threes up by chance 5", "up or pedal down or mixed 2 3 by chance 4 up by chance 6"),
        ]
    ),
    st.lists(st.integers(0, 5), min_size=1, max_size=6).map(lambda steps: "steps " + " ".join(map(str, steps))),
    MARKED_STEPS.map(lambda steps: "steps " + " ".join(steps)),
)
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=20)
TABLES = st.fixed_dictionaries(
    {
        "key": st.builds("{} {}".format, st.sampled_from(ROOTS), st.sampled_from(sorted(SCALES))),
        "tuning": st.sampled_from(sorted(TUNINGS)),
        "strings": st.sampled_from(["1-2", "1", "2-3", "1-3", "1 3", "3-4", "all"]),
        "notes_a_string": st.sampled_from([None, 1, 2, 3]),
        "strings_at_a_time": st.sampled_from([None, None, 1, 2]),
        "route": st.one_of(LISTED, RULED, st.just("whole neck")),
        "cell": CELLS,
        "order": st.sampled_from(["forward", "backward"]),
        "rhythm": st.sampled_from(["sixteenths", "5 a beat", "4 then 3 a beat", "eighth + eighth rest"]),
        "start": st.sampled_from(["on the beat", "after an eighth", "after two triplets"]),
        "accents": st.sampled_from(["none", "groups", "beats", "every 3", "1 4"]),
        "articulation": st.sampled_from(["legato", "one pick a string", "picked"]),
        "shifts": st.sampled_from(["slid", "slid from below", "slid from the last note", "picked"]),
        "first_stroke": st.sampled_from(["down", "up"]),
        "tempo": st.sampled_from([10, 80, 92.1, 400]),
        "meter": st.sampled_from(["4/4", "7/8", "2/4"]),
        "last_fret": st.sampled_from([24, 22, 15, 12]),
        "hand": st.sampled_from(["any", "any", "adult", "small hand", "child", "bass"]),
    }
)
HEADINGS = st.fixed_dictionaries(
    {},
    optional={
        "title": TEXTS,
        "about": TEXTS,
        "tags": st.lists(TEXTS.map(lambda text: text.replace(",", "") + "x"), max_size=3),
        "family": st.sampled_from(["quarry-steps", "two-gates"]),
    },
)
RECIPES = st.builds(lambda table, heading: Recipe.model_validate(table | heading), TABLES, HEADINGS)
