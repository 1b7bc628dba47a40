"""`boxwalk cues`: phrases played on the guitar that the window listens for."""

from typing import TYPE_CHECKING

import click

from trainer.cli.complaint import Complaint
from trainer.cli.source import source_named

if TYPE_CHECKING:
    from trainer.devices.seat import Source
    from trainer.following.cues import Phrase
    from trainer.playing.messages import NoteOnset
    from trainer.playing.profile import PickupProfile
    from trainer.theory.tuning import Tuning

SILENCE_NS = 2_000_000_000
"""A phrase that is learned ends with this much silence."""
POLL_S = 0.005


@click.group(invoke_without_command=True)
@click.pass_context
def cues(context: click.Context) -> None:
    """Cues: what the guitar can ask for while both hands are on it. Alone, it lists them."""
    if context.invoked_subcommand is None:
        list_cues()


@cues.command()
@click.argument("cue", metavar="CUE")
@click.option("--input", "input_name", metavar="PORT", help="Which MIDI port. Default: the first.")
def learn(cue: str, input_name: str | None) -> None:
    """Learn another phrase for CUE: again, slower, faster, next or stop. Play it once, then be silent."""
    from dataclasses import replace

    from trainer.cue_ear import cues_in
    from trainer.devices.own_exercises import exercises_folder
    from trainer.devices.remembered import CueName, Memory
    from trainer.following.cues import Cue, CueError, learned_phrase
    from trainer.playing.profile import PickupProfile
    from trainer.score.library import load_all
    from trainer.theory.naming import UnknownWord
    from trainer.theory.tuning import tuning_named

    wanted = next((one for one in Cue if one.value == cue.lower()), None)
    if wanted is None:
        raise Complaint(str(UnknownWord(cue, "a cue", [one.value for one in Cue])))
    source = source_named(input_name)
    memory, tuning = Memory(), tuning_named("standard")
    click.echo(f"Play the phrase for {wanted.value} on {source.name}, then be silent for two seconds.")
    try:
        onsets = heard_on(source, memory.profile_of(source.name) or PickupProfile(), tuning)
    finally:
        source.close()
    others = {one: phrase for one, phrase in cues_in(memory.cues, tuning).items() if one is not wanted}
    try:
        phrase = learned_phrase(onsets, others, load_all([exercises_folder()])[0])
    except CueError as error:
        raise Complaint(f"{error} Nothing was changed.") from error
    name: CueName = wanted.value
    learned = {**memory.cues.learned, name: tuple((note.pitch, note.course) for note in phrase)}
    memory.keep_cues(replace(memory.cues, learned=learned))
    click.echo(memory.trouble or f"{wanted.value}: {phrase_words(phrase, tuning)}")


@cues.command()
def usual() -> None:
    """Forget what was learned: the usual phrases again."""
    from dataclasses import replace

    from trainer.devices.remembered import Memory

    memory = Memory()
    memory.keep_cues(replace(memory.cues, learned={}))
    list_cues()


@cues.command()
@click.argument("choice", type=click.Choice(["yes", "no"]))
def heard(choice: str) -> None:
    """Whether the window listens for cues."""
    from dataclasses import replace

    from trainer.devices.remembered import Memory

    memory = Memory()
    memory.keep_cues(replace(memory.cues, are_heard=choice == "yes"))
    list_cues()


def list_cues() -> None:
    """Every cue with its phrase."""
    from trainer.cue_ear import cues_in
    from trainer.devices.remembered import Memory
    from trainer.theory.tuning import tuning_named

    kept, tuning = Memory().cues, tuning_named("standard")
    found = cues_in(kept, tuning)
    if not found:
        click.echo("No cue is listened for: boxwalk cues heard yes")
    for cue, phrase in found.items():
        click.echo(f"{cue.value:8}{phrase_words(phrase, tuning)}")


def phrase_words(phrase: "Phrase", tuning: "Tuning") -> str:
    """String and fret of each note, or its name where the string is not known.

    `6:12 6:0` is string 6 at fret 12, then open.
    """
    from trainer.theory.pitch import pitch_name

    words = []
    for note in phrase:
        fret = None if note.course is None else tuning.fret_of(note.course, note.pitch)
        words.append(pitch_name(note.pitch) if fret is None else f"{note.course}:{fret}")
    return " ".join(words)


def heard_on(source: "Source", profile: "PickupProfile", tuning: "Tuning") -> "tuple[NoteOnset, ...]":
    """What is played until there is silence after it."""
    import time

    from trainer.capture.listening import PhraseListener
    from trainer.run import ON_ITS_WAY_NS

    listener = PhraseListener(profile, tuning)
    while True:
        now_ns = time.perf_counter_ns()
        for message in source.poll(now_ns):
            listener.feed(message)
        listener.advance(now_ns - ON_ITS_WAY_NS)
        last_ns = listener.last_onset_ns
        if last_ns is not None and now_ns - last_ns >= SILENCE_NS:
            return tuple(sorted(listener.onsets, key=lambda onset: onset.onset_ns))
        time.sleep(POLL_S)
