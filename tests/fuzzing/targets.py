"""What is fuzzed: the valid ones of each kind, how they are bent and read, and what they may be refused with."""

from tests.fuzzing.bending import bent_json, bent_words
from tests.fuzzing.bending_midi import bent_midi_file, bent_stream
from tests.fuzzing.bending_xml import bent_xml
from tests.fuzzing.reading import Target, lines, read_as, text_file, used
from tests.fuzzing.targets_kept import (
    bent_history,
    bent_homework,
    histories,
    homework,
    look_through,
    memories,
    remember,
    take_home,
)
from tests.fuzzing.targets_played import bent_take, hear, judge, streams, takes
from tests.fuzzing.targets_written import archives, bent_archive, one_lines, pages, recipes, tabs
from trainer.history.errors import HistoryError
from trainer.history.gathering import UNREADABLE
from trainer.homework.errors import HomeworkError
from trainer.score.errors import ExerciseError
from trainer.score.one_line import exercise_from_line
from trainer.sheets.midi_writing import midi_file

TARGETS = (
    Target("stream", streams, bent_stream, hear, ()),
    Target("take", takes, bent_take, judge, UNREADABLE, 2),
    Target("midi", lambda: tuple(map(midi_file, lines())), bent_midi_file, read_as("line.mid"), (ExerciseError,), 2),
    Target("musicxml", pages, bent_xml, text_file("page.musicxml"), (ExerciseError,), 2),
    Target("mxl", archives, bent_archive, read_as("page.mxl"), (ExerciseError,)),
    Target("toml", recipes, bent_words, text_file("line.toml"), (ExerciseError,), 2),
    Target("line", one_lines, bent_words, lambda text, _: used(exercise_from_line(text)), (ExerciseError,)),
    Target("tablature", tabs, bent_words, text_file("line.tab"), (ExerciseError,), 2),
    Target("homework", homework, bent_homework, take_home, (HomeworkError,), 3),
    Target("history", histories, bent_history, look_through, (HistoryError,), 2),
    Target("remembered", memories, bent_json, remember, ()),
)
