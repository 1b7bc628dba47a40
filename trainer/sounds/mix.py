"""How a sitting sounds: the click, what goes with it, and how loud each is. Values only; `stems` renders them."""

from dataclasses import dataclass, field

from trainer.sounds.backing import Accompaniment, Levels
from trainer.sounds.click_way import ClickWay


@dataclass(frozen=True, slots=True)
class Mix:
    """The settings of a sitting's sound."""

    click: ClickWay = field(default_factory=ClickWay)
    accompaniment: Accompaniment = field(default_factory=Accompaniment)
    levels: Levels = field(default_factory=Levels)
