"""Short MusicXML pages for tests, as text."""

from pathlib import Path

STANDARD = "E2 A2 D3 G3 B3 E4"


def staff_tuning(open_strings: str = STANDARD, capo: int = 0) -> str:
    """Staff details for open strings given from the lowest line up, e.g. `E2 A2`."""
    names = open_strings.split()
    lines = "".join(
        f'<staff-tuning line="{line}"><tuning-step>{name[0]}</tuning-step>'
        + (f"<tuning-alter>{1 if name[1] == '#' else -1}</tuning-alter>" if name[1] in "#b" else "")
        + f"<tuning-octave>{name[-1]}</tuning-octave></staff-tuning>"
        for line, name in enumerate(names, start=1)
    )
    raised = f"<capo>{capo}</capo>" if capo else ""
    return f"<staff-details><staff-lines>{len(names)}</staff-lines>{lines}{raised}</staff-details>"


def attributes(inside: str = "", divisions: int = 60) -> str:
    return f"<attributes><divisions>{divisions}</divisions>{inside}</attributes>"


def pitch(name: str) -> str:
    alter = {"#": "<alter>1</alter>", "b": "<alter>-1</alter>"}.get(name[1], "")
    return f"<pitch><step>{name[0]}</step>{alter}<octave>{name[-1]}</octave></pitch>"


def tab(
    place: str,
    duration: int | None = 60,
    technical: str = "",
    notations: str = "",
    name: str = "E4",
    before: str = "",
    after: str = "",
) -> str:
    """A note at `place`, written string/fret, e.g. `1/5`; None as duration makes it a grace note."""
    string, fret = place.split("/")
    length = "" if duration is None else f"<duration>{duration}</duration>"
    grace = "<grace/>" if duration is None else ""
    return (
        f"<note>{grace}{before}{pitch(name)}{length}{after}<notations>{notations}<technical>{technical}"
        f"<string>{string}</string><fret>{fret}</fret></technical></notations></note>"
    )


def plain(name: str, duration: int = 60, notations: str = "", before: str = "", after: str = "") -> str:
    """A note with a pitch only."""
    return f"<note>{before}{pitch(name)}<duration>{duration}</duration>{after}<notations>{notations}</notations></note>"


def rest(duration: int = 60) -> str:
    return f"<note><rest/><duration>{duration}</duration></note>"


def measure(*inside: str, more: str = "") -> str:
    return f"<measure {more}>{''.join(inside)}</measure>"


def page(*measures: str, head: str = "", prolog: str = "") -> str:
    """A score of one part."""
    return f'{prolog}<score-partwise version="4.0">{head}<part id="P1">{"".join(measures)}</part></score-partwise>'


def on_disk(folder: Path, text: str | bytes, name: str = "ridge-path.musicxml") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def bar(*inside: str) -> str:
    """A score of one measure for six strings in standard tuning."""
    return page(measure(attributes(staff_tuning()), *inside))


def repeat(direction: str, more: str = "") -> str:
    return f'<barline><repeat direction="{direction}" {more}/></barline>'
