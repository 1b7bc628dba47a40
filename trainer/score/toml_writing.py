"""A recipe as the TOML text of an exercise file (TOML 1.0)."""

import json
import re
import textwrap

from trainer.score.recipe import Recipe
from trainer.score.recipe_text import Said, field_texts

_WIDTH = 110
# JSON escapes all that TOML 1.0 wants escaped in a basic string, but for the control characters from U+007F on.
_LATE_CONTROLS = re.compile("[\x7f-\x9f]")


def recipe_to_toml(recipe: Recipe) -> str:
    """The file that says what `recipe` says: what it is about first, a blank line, then the line itself."""
    values = field_texts(recipe)
    heading = [_row(field, values.pop(field)) for field in ("title", "about", "tags", "family") if field in values]
    line = [_row(field, value) for field, value in values.items()]
    return "\n".join([*heading, *([""] if heading else []), *line]) + "\n"


def _row(field: str, value: Said) -> str:
    if field == "about":
        # A line that ends with a backslash would join the next one.
        lines = textwrap.wrap(_quoted(str(value))[1:-1], _WIDTH, break_long_words=False, break_on_hyphens=False)
        return "\n".join((f'{field} = """', *lines, '"""'))
    return f"{field} = {_quoted(value)}"


def _quoted(value: Said) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return _LATE_CONTROLS.sub(lambda control: f"\\u{ord(control[0]):04x}", text)
