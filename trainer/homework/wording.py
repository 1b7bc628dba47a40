"""Names and texts from elsewhere, made fit to be shown, and names of files made of them.

Any script is welcome. Left out is what would act on a terminal or on the text around it: control characters, lone
halves of a character, and formatting characters such as those that turn the direction of reading. Two of those stay,
the joiners that several scripts are spelled with.
"""

import re
import unicodedata

from trainer.devices.system import is_device_name

_JOINERS = "\u200c\u200d"
_ACTING = frozenset({"Cc", "Cf", "Cs", "Co"})
_LONGEST_PART = 40
_LONGEST_EXERCISE_NAME = 56
"""Room for a number behind it is left, in the 60 that a name may have."""


def shown(text: str, longest: int) -> str:
    r"""`text` on one line, at most `longest` characters long, without what would act on its surroundings.

    >>> shown("Ann\x1b[2J\n \u202eBen", 60)
    'Ann[2J Ben'
    """
    one_line = " ".join(unicodedata.normalize("NFC", text[: 4 * longest]).split())
    kept = "".join(sign for sign in one_line if sign in _JOINERS or unicodedata.category(sign) not in _ACTING)
    return " ".join(kept.split())[:longest].strip()


def file_part(text: str, otherwise: str) -> str:
    """`text` as part of the name of a file: letters and digits of any script between hyphens.

    >>> file_part("../Two gates!", "homework")
    'two-gates'
    """
    part = re.sub(r"[\W_]+", "-", text.casefold()).strip("-")[:_LONGEST_PART].strip("-") or otherwise
    return f"{part}-1" if is_device_name(part) else part


def exercise_name(text: str) -> str:
    """`text` as a name for an own exercise: small Latin letters, digits and hyphens.

    >>> exercise_name("Ridge path (legato)")
    'ridge-path-legato'
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    name = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST_EXERCISE_NAME].strip("-") or "homework"
    return f"{name}-1" if is_device_name(name) else name
