"""Lines as a LilyPond source: a notation staff above a tablature staff, for those who have the engraver.

The notation staff has strokes, fingers, accents and positions, the tablature the strings and the letters of hammer-ons
and pull-offs. A bow or a slide is drawn where it leads to the next sign of its voice, which LilyPond can do; elsewhere
the letters stand alone.
References: LilyPond 2.24, Notation Reference (absolute octave entry, tablatures, tuplets, grace notes).
"""

from collections.abc import Iterator, Sequence
from itertools import chain, pairwise

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.notation import Sign, Voice, bars_of
from trainer.sheets.joins import position_changes, slurs_of
from trainer.sheets.musicxml_head import printable
from trainer.sheets.paper import Paper
from trainer.sheets.spelling import SpelledPitch, Spelling, clef_of, spelled_alone
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique

_VERSION = "2.24.0"
_ALTERS = {-2: "eses", -1: "es", 0: "", 1: "is", 2: "isis"}
_STROKES = {Stroke.DOWN: "\\downbow", Stroke.UP: "\\upbow"}
_LETTERS = {Technique.HAMMER: "H", Technique.PULL: "P", Technique.SLIDE: "sl."}
_ORDER_OF_SHARPS = "fcgdaeb"


def lilypond(exercises: Sequence[Exercise], paper: Paper) -> str:
    """`exercises` as a LilyPond source; each begins on a new page with its title."""
    head = (
        f'\\version "{_VERSION}"\n#(set-default-paper-size "{paper.name.lower()}")\n'
        "\\paper { ragged-last-bottom = ##t }\n\\header { tagline = ##f }\n"
    )
    return head + "".join(_part(exercise) for exercise in exercises)


def quoted(text: str) -> str:
    """`text` as a LilyPond string: nothing in it can end the string or be read as a command."""
    return '"' + printable(text).replace("\\", "\\\\").replace('"', '\\"') + '"'


def _part(exercise: Exercise) -> str:
    writer = _Writer(exercise)
    sign, _, octaves = clef_of(exercise.tuning)
    clef = {"F": "bass", "G": "treble"}[sign] + ("_8" if octaves else "")
    fifths = writer.spelling.signature.fifths
    tonic = _ORDER_OF_SHARPS[(fifths + 1) % 7] + _ALTERS[(fifths + 1) // 7]
    open_strings = (spelled_alone(pitch, flats=fifths < 0) for pitch in reversed(exercise.tuning.open_pitches))
    tuning = " ".join(_pitch(spelled) for spelled in open_strings)
    named = f"{exercise.tuning.name} tuning"
    return f"""
\\bookpart {{
  \\header {{ title = {quoted(exercise.title)} subtitle = {quoted(exercise.key)} composer = {quoted(named)} }}
  \\score {{
    \\new StaffGroup <<
      \\new Staff {{
        \\clef "{clef}" \\key {tonic} \\major \\time {exercise.meter.beats}/{exercise.meter.beat_unit}
        \\tempo 4 = {round(exercise.tempo.quarters_per_minute)}
        {writer.music(is_tablature=False)}
        \\bar "|."
      }}
      \\new TabStaff \\with {{ stringTunings = \\stringTuning <{tuning}> }} {{
        \\override TabVoice.TextScript.stencil = #ly:text-interface::print
        {writer.music(is_tablature=True)}
        \\bar "|."
      }}
    >>
    \\layout {{ }}
  }}
}}
"""


class _Writer:
    """Writes the music of a line, once for each staff."""

    def __init__(self, exercise: Exercise) -> None:
        self.spelling = Spelling(exercise)
        self._exercise = exercise
        self._bars = bars_of(exercise)
        self._slurs = slurs_of(exercise)
        self._positions = dict(position_changes(exercise))
        self._is_tablature = False
        self._joined: set[int] = set()
        """Notes that a bow or slide leads to from the sign before."""
        for at in range(len(self._bars[0].voices)):
            signs = chain.from_iterable(bar.voices[at] for bar in self._bars)
            for before, sign in pairwise(signs):
                if before.end_quarters == sign.onset_quarters:
                    self._joined |= {note for note in sign.notes if self._slurs.source_of.get(note, -1) in before.notes}

    def music(self, *, is_tablature: bool) -> str:
        """The bars of a staff; several voices run side by side from the first bar to the last."""
        self._is_tablature = is_tablature
        voices = []
        for at in range(len(self._bars[0].voices)):
            rows = []
            for bar in self._bars:
                written = " ".join(self._voice(bar.voices[at], is_first=at == 0))
                rows.append(written or f"s4*{bar.length_quarters}")
            voices.append("{ " + " |\n        ".join(rows) + " }")
        return voices[0][2:-2] if len(voices) == 1 else "<< " + " \\\\ ".join(voices) + " >>"

    def _voice(self, voice: Voice, *, is_first: bool) -> Iterator[str]:
        for sign in voice:
            if sign.tuplet is not None and sign.tuplet_begins:
                yield f"\\tuplet {sign.tuplet.actual}/{sign.tuplet.normal} {{"
            if sign.is_rest:
                yield ("r" if is_first else "s") + _duration(sign)
            else:
                yield from self._grace(sign)
                yield self._chord(sign)
            if sign.tuplet_ends:
                yield "}"

    def _grace(self, sign: Sign) -> Iterator[str]:
        notes = [] if sign.tied_from else [self._exercise.notes[index] for index in sign.notes]
        begins = [note.slide_from for note in notes if note.slide_from is not None]
        if begins:
            heads = " ".join(self._placed(place) for place in begins)
            yield f"\\grace {{ <{heads}>16\\glissando }}"

    def _chord(self, sign: Sign) -> str:
        notes = [self._exercise.notes[index] for index in sign.notes]
        heads = " ".join(self._head(note, is_begun=not sign.tied_from) for note in notes)
        signs = [] if sign.tied_from else list(dict.fromkeys(self._signs(sign)))
        return f"<{heads}>{_duration(sign)}" + "".join(signs) + self._lines(sign)

    def _head(self, note: ScoreNote, *, is_begun: bool) -> str:
        finger = f"-{note.finger}" if is_begun and note.finger is not None and not self._is_tablature else ""
        return self._placed(note.location, finger)

    def _placed(self, place: Location, finger: str = "") -> str:
        """A note head; on the tablature with its string."""
        string = f"\\{place.course}" if self._is_tablature else ""
        return _pitch(self.spelling.of(self._exercise.tuning.pitch_at(place))) + finger + string

    def _signs(self, sign: Sign) -> Iterator[str]:
        for index in sign.notes:
            note = self._exercise.notes[index]
            if self._is_tablature:
                is_drawn = note.technique is Technique.SLIDE and index in self._joined
                if index in self._slurs.source_of and not is_drawn:
                    yield f'^"{_LETTERS[note.technique]}"'
                continue
            if note.stroke is not None:
                yield _STROKES[note.stroke]
            if note.accent:
                yield "->"
            if index in self._positions:
                yield f'^\\markup \\box "{self._positions[index]}"'

    def _lines(self, sign: Sign) -> str:
        """Ties, and the ends of bows and slides."""
        text = "~" if sign.tied_to else ""
        arriving = [] if sign.tied_from else [index for index in sign.notes if index in self._joined]
        if any(self._exercise.notes[index].technique is not Technique.SLIDE for index in arriving):
            text += ")"
        targets = [self._slurs.target_of.get(index) for index in sign.notes]
        leaving = [] if sign.tied_to else [index for index in targets if index is not None and index in self._joined]
        techniques = {self._exercise.notes[index].technique for index in leaving}
        if techniques - {Technique.SLIDE}:
            text += "("
        if Technique.SLIDE in techniques:
            text += "\\glissando"
        return text


def _duration(sign: Sign) -> str:
    if sign.value is None:
        return f"4*{sign.duration_quarters}"
    return f"{4 / sign.value.plain_quarters}" + "." * sign.value.dots


def _pitch(spelled: SpelledPitch) -> str:
    """A pitch in absolute octaves: the octave below middle C has no mark."""
    marks = "'" * (spelled.octave - 3) if spelled.octave >= 3 else "," * (3 - spelled.octave)
    return spelled.step.lower() + _ALTERS[spelled.alter] + marks
