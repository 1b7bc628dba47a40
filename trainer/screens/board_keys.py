"""What the foot of the board says: the keys while it is live and while it stands, and how what stands is heard."""

from trainer.capture.stepping import SteppedPhrase
from trainer.screens.board_neck import Label
from trainer.screens.board_picture import LESS, MORE, Parts
from trainer.screens.hints import Hint
from trainer.screens.screen import Command

_END: tuple[Hint, ...] = (
    ("R", "clear", Command.RESTART),
    ("C", "call and answer", Command.BACKING),
    ("Ctrl D", "over the line", Command.BESIDE),
)


def _shown(label: Label, *, hides_frets: bool) -> tuple[Hint, ...]:
    return (
        ("Tab", f"show {label.following.value}", Command.NEXT_CHOICE),
        ("M", "show what was played" if hides_frets else "hide frets", Command.MARKS),
        ("P", "point", Command.PACE),
    )


def live_hints(label: Label, *, hides_frets: bool) -> tuple[tuple[Hint, ...], ...]:
    """The keys while whatever is played appears."""
    return (
        (
            ("Space", "pause", Command.PAUSE),
            *_shown(label, hides_frets=hides_frets),
            ("L", "hold the key", Command.LOOP),
            ("I", "second input", Command.SECOND_INPUT),
            ("N", "show it", Command.NEXT),
        ),
        (
            ("Enter", "write it down", Command.CHOOSE),
            ("F7", "hand it out", Command.KEEP),
            *_END,
            ("Esc", "list", Command.BACK),
            ("F1", "keys", Command.KEYS),
        ),
    )


def standing_hints(label: Label, *, hides_frets: bool, is_heard: bool) -> tuple[tuple[Hint, ...], ...]:
    """The keys while a phrase stands."""
    return (
        (
            ("Space", "go on", Command.PAUSE),
            ("←", "a note back", Command.LEFT),
            ("→", "a note on", Command.RIGHT),
            ("F3", "stop" if is_heard else "hear", Command.LISTEN),
            ("L", "loop", Command.LOOP),
            *_shown(label, hides_frets=hides_frets),
        ),
        (
            ("Enter", "write it down", Command.CHOOSE),
            ("F7", "hand it out", Command.KEEP),
            *_END,
            ("Esc", "go on", Command.BACK),
            ("F1", "keys", Command.KEYS),
        ),
    )


def standing_words(phrase: SteppedPhrase, percent: int, *, is_looped: bool) -> Parts:
    """How far a phrase is shown, and how fast it is heard."""
    qpm = float(phrase.line.tempo.quarters_per_minute)
    looped = " · heard again and again" if is_looped else ""
    return (
        (f"paused at note {phrase.moment + 1} of {len(phrase.onsets)}, played at ♩ = {qpm:g} · heard at ", None),
        (LESS, Command.SLOWER),
        (f" {percent} % ", None),
        (MORE, Command.FASTER),
        (looped, None),
    )
