"""What stands in a row of the table of returned homework, in words."""

from trainer.homework.answering import Row

HEADINGS = ("target", "there", "fastest clean", "working", "weakest", "min", "last", "change")
MEANINGS = (
    "There: clean passes at the target or faster, and how many were asked for. Fastest clean: the fastest tempo "
    "with a clean pass, and how many at that tempo were. Working: clean four times of five, and the 80 % interval."
)


def cells(row: Row) -> tuple[str, ...]:
    """One text for each heading."""
    fastest, working = row.fastest, row.working
    return (
        f"{float(row.task.target_qpm):g}",
        f"{row.clean_at_target} (asked {row.task.passes})",
        "none" if fastest is None else f"{float(fastest.qpm):g} ({fastest.clean} of {fastest.passes})",
        "not enough" if working is None else f"{working.qpm:.0f} ({working.low_qpm:.0f}-{working.high_qpm:.0f})",
        row.weakest.words,
        f"{row.played_ms / 60_000:.1f}",
        row.last_played,
        change_words(row),
    )


def tempo_change(row: Row) -> str:
    """How the fastest clean tempo differs from that of the file before; empty without one."""
    change, now = row.change, None if row.fastest is None else row.fastest.qpm
    if change is None:
        return ""
    if change.fastest_qpm is None or now is None:
        return "first clean pass" if now is not None else "none clean"
    return f"{float(now - change.fastest_qpm):+g}" if now != change.fastest_qpm else "same tempo"


def change_words(row: Row) -> str:
    """What is new since the file before."""
    change = row.change
    if change is None:
        return "first file"
    minutes = f"{change.more_ms / 60_000:+.1f} min"
    return f"{tempo_change(row)}, {change.more_clean:+d} clean, {minutes} since {change.since[:10]}"
