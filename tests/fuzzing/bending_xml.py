"""How MusicXML is bent: elements taken out, doubled, moved and called otherwise, their text and attributes replaced."""

import xml.etree.ElementTree as ET
from collections.abc import Sequence

from tests.fuzzing.bending import ODD_WORDS, Edit, bent_words, chosen

_Place = tuple[ET.Element, ET.Element]
"""An element and what holds it, the holder first."""
_ODD_TEXTS = tuple(word for word in ODD_WORDS if all(sign.isprintable() for sign in word))


def bent_xml(text: str, edit: Edit, seeds: Sequence[str]) -> str:
    """One edit of the tree; of what is no tree any more, and sometimes of a tree, of its words."""
    try:
        root = ET.fromstring(text)  # noqa: S314 - our own text, bent by us
    except (ET.ParseError, ValueError):
        return bent_words(text, edit, seeds)
    pairs = [(parent, child) for parent in root.iter() for child in parent]
    if not pairs:
        return chosen(edit.what, seeds)
    if edit.kind % 9 < 5:
        _rearrange(chosen(edit.where, pairs), chosen(edit.what, pairs), edit)
    elif edit.kind % 9 < 8:
        _reword(chosen(edit.where, pairs)[1], chosen(edit.what, pairs)[1], edit)
    else:
        return bent_words(text, edit, seeds)
    return ET.tostring(root, encoding="unicode")


def _rearrange(place: _Place, other_place: _Place, edit: Edit) -> None:
    (parent, child), (other_parent, other) = place, other_place
    match edit.kind % 9:
        case 1:
            parent.remove(child)
        case 2:
            for _ in range(1 + edit.what % 4):
                parent.insert(edit.what % (len(parent) + 1), child)
        case 3:
            parent.remove(child)
            if child not in list(other.iter()) and other not in list(child.iter()):
                other.append(child)
        case 0 if parent is other_parent:
            places = list(parent).index(child), list(parent).index(other)
            parent[places[0]], parent[places[1]] = other, child
        case _:
            child.text, other.text = other.text, child.text


def _reword(child: ET.Element, other: ET.Element, edit: Edit) -> None:
    match edit.kind % 9:
        case 5:
            child.text = (
                chosen(edit.what, _ODD_TEXTS)
                if edit.what % 3
                else str(edit.what - 5 if edit.what % 2 else edit.what % 40 - 5)
            )
        case 6:
            child.tag = other.tag
        case _:
            name = chosen(edit.what, list(child.attrib) or ["number", "type", "value", "line"])
            child.set(name, chosen(edit.what, _ODD_TEXTS))
