"""`python -m tests.benchmarks.ear [--takes N] [--seed S]`: how well the ear tells techniques, by style of converter.

Columns. F1: mean of the four techniques over notes whose bytes tell them. Wrong: notes said to be another technique,
of all notes. Unsaid: notes left as not measurable although their bytes tell. Open: notes left so whose bytes do not
tell (a slur of one fret where slides come in stairs, any slur of a converter that sends only the note reached,
anything at one velocity without gaps, a slur from the end of the bend range on). Lost and added: notes not heard
within 50 ms, and heard notes that nobody played. Bend, vibrato: F1 of being told for a picked note.
"""

import argparse
import sys
from collections import Counter
from dataclasses import dataclass, field
from random import Random

from tests.benchmarks.hands import STANDARD, Converter, PlayedNote, Style, drawn_notes
from trainer.playing.decoding import Decoder
from trainer.playing.messages import NoteEnd, NoteOnset, NotePassed, PlayedEvent, StampedMessage, TechniqueHeard
from trainer.playing.notes import NoteTracker
from trainer.theory.technique import Technique

WINDOW_NS = 50_000_000  # MIREX and mir_eval
STYLES = (
    Style("bend, glides"),
    Style("bend, stairs", in_steps=True),
    Style("bend range 2, glides", range_semitones=2),
    Style("bend range 2, stairs", range_semitones=2, in_steps=True),
    Style("MPE, glides", is_mpe=True, range_semitones=48),
    Style("MPE, stairs", is_mpe=True, range_semitones=48, in_steps=True),
    Style("retrigger, frets passed", bends=False, in_steps=True),
    Style("retrigger, frets passed, one velocity", bends=False, in_steps=True, fixed_velocity=90),
    Style("retrigger, note reached only", bends=False),
    Style("retrigger, note reached only, one velocity", bends=False, fixed_velocity=90),
)


@dataclass(slots=True)
class Tally:
    """Counts over the takes of one row."""

    pairs: Counter[tuple[Technique, Technique | None]] = field(default_factory=Counter)
    """(played, said) where the bytes tell."""
    open_pairs: Counter[tuple[Technique, Technique | None]] = field(default_factory=Counter)
    gestures: Counter[tuple[str, bool, bool]] = field(default_factory=Counter)
    """(`bend` or `vibrato`, played, told)."""
    lost: int = 0
    added: int = 0

    @property
    def notes(self) -> int:
        """All that were played."""
        return self.pairs.total() + self.open_pairs.total() + self.lost

    @property
    def f1(self) -> float:
        """Mean over the techniques that occur."""
        scores = []
        for each in Technique:
            right = self.pairs[each, each]
            played = sum(count for (truth, _), count in self.pairs.items() if truth is each)
            said = sum(count for (_, told), count in self.pairs.items() if told is each)
            if played:
                scores.append(2 * right / (played + said))
        return sum(scores) / len(scores)

    @property
    def wrong(self) -> float:
        """Share of all notes said to be what they were not."""
        both = self.pairs + self.open_pairs
        return sum(count for (truth, told), count in both.items() if told not in {truth, None}) / self.notes

    def gesture_f1(self, kind: str) -> float:
        """F1 of a bend or vibrato being told."""
        right = self.gestures[kind, True, True]
        failed = self.gestures[kind, True, False] + self.gestures[kind, False, True]
        return 2 * right / (2 * right + failed) if right + failed else 1.0


def heard(style: Style, messages: list[StampedMessage]) -> list[PlayedEvent]:
    """What the ear says of a stream."""
    decoder, tracker = Decoder(style.profile), NoteTracker(style.profile, STANDARD)
    said = [each for message in messages for event in decoder.feed(message) for each in tracker.feed(event)]
    return said + list(tracker.advance(messages[-1].stamp_ns + 10**9))


def tells(style: Style, note: PlayedNote, converter: Converter) -> bool:
    """Whether the bytes tell how a note was begun."""
    if note in converter.hidden or (style.fixed_velocity and not style.bends and not converter.pick_gap_ms):
        return False
    if note.technique is Technique.PICK:
        return True
    return (style.bends and not style.in_steps) or (style.in_steps and abs(note.frets) > 1)


def compare(
    style: Style, notes: list[PlayedNote], said: list[PlayedEvent], tally: Tally, *, converter: Converter, shows: bool
) -> None:
    """Count one take."""
    passed = {event.heard for event in said if isinstance(event, NotePassed)}
    told = {event.heard: event for event in said if isinstance(event, TechniqueHeard)}
    ends = {event.heard: event.inflection for event in said if isinstance(event, NoteEnd)}
    left = [event for event in said if isinstance(event, NoteOnset) and event.heard not in passed]
    for note in notes:
        due_ns = note.onset_ms * 1e6
        near = [
            each
            for each in left
            if each.course == note.course and each.pitch == note.pitch and abs(each.onset_ns - due_ns) <= WINDOW_NS
        ]
        if not near:
            tally.lost += 1
            if shows:
                say(f"  lost {note}")
            continue
        onset = min(near, key=lambda each: abs(each.onset_ns - due_ns))
        left.remove(onset)
        verdict = told[onset.heard]
        is_told = tells(style, note, converter)
        counted = tally.pairs if is_told else tally.open_pairs
        counted[note.technique, verdict.technique] += 1
        if shows and verdict.technique is not note.technique and is_told:
            say(f"  {verdict.technique} {note}")
        inflection = ends.get(onset.heard)
        if style.bends and inflection and note.technique is Technique.PICK:
            tally.gestures["bend", bool(note.bend_cents), bool(inflection.bend_cents)] += 1
            tally.gestures["vibrato", bool(note.vibrato_hz), bool(inflection.vibrato_hz)] += 1
    tally.added += len(left)
    if shows:
        for onset in left:
            say(f"  added {onset} {told[onset.heard].technique}")


def row(style: Style, takes: int, seed: int, *, slips: bool, shows: bool) -> str:
    """One line of the table."""
    tally = Tally()
    for number in range(takes):
        rng = Random(f"{seed} {number} {style.name} {slips}")
        notes = drawn_notes(rng, 160, rng.uniform(5, 14))
        converter = Converter(style, rng, slips=slips)
        messages = converter.messages(notes)
        compare(style, notes, heard(style, messages), tally, converter=converter, shows=shows)
    total = tally.notes
    unsaid = sum(count for (_, told), count in tally.pairs.items() if told is None)
    left_open = sum(count for (_, told), count in tally.open_pairs.items() if told is None)
    shares = (tally.wrong, unsaid / total, left_open / total, tally.lost / total, tally.added / total)
    bends = f"{tally.gesture_f1('bend'):.3f} | {tally.gesture_f1('vibrato'):.3f}" if style.bends else "- | -"
    figures = " | ".join(f"{100 * share:.2f}" for share in shares)
    return f"| {style.name} | {'slips' if slips else 'clean'} | {total} | {tally.f1:.4f} | {figures} | {bends} |"


def say(line: str) -> None:
    """One line of the answer."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--takes", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    parser.add_argument("--show", action="store_true", help="print every note that was not heard as it was played")
    options = parser.parse_args()
    say(f"takes {options.takes} a row, seeds '{options.seed} 0 ...' to '{options.seed} {options.takes - 1} ...'")
    heading = "| style | pickup | notes | F1 | wrong % | unsaid % | open % | lost % | added % | bend F1 | vibrato F1 |"
    say(heading)
    say("|" + " --- |" * (heading.count("|") - 1))
    for style in STYLES:
        for slips in (False, True):
            if options.only in style.name:
                say(row(style, options.takes, options.seed, slips=slips, shows=options.show))


if __name__ == "__main__":
    main()
