"""The pickup profiles that travel with the program, from `shared/pickups.json`.

A profile learned for one player's device is another `PickupProfile`, made with `dataclasses.replace`.
"""

import difflib
import json
from typing import Any

from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.shipped import SHARED


def profile_named(name: str) -> PickupProfile:
    """The shipped profile called `name`; `ValueError` names the nearest ones when there is none."""
    if name in PROFILES:
        return PROFILES[name]
    near = difflib.get_close_matches(name, PROFILES, n=3, cutoff=0.4) or list(PROFILES)
    raise ValueError(f"no pickup is called {name!r}; did you mean {' or '.join(near)}?")


def _profile(entry: dict[str, Any]) -> PickupProfile:
    channels = tuple(int(channel) for channel in entry["channel_of_course"])
    if len(set(channels)) != len(channels) or not set(channels) <= set(range(1, 17)):
        raise ValueError(f"pickup {entry['name']!r}: channels {channels} are not different ones of 1..16")
    return PickupProfile(
        name=entry["name"],
        title=entry["title"],
        channel_use=ChannelUse(entry["channel_use"]),
        channel_of_course=channels,
        bend_range_semitones=float(entry["bend_range_semitones"]),
        latency_ns=int(entry.get("latency_ns", 0)),
        latency_cycles=float(entry.get("latency_cycles", 0)),
        fixed_velocity=bool(entry.get("fixed_velocity", False)),
    )


def _shipped() -> dict[str, PickupProfile]:
    text = (SHARED / "pickups.json").read_text(encoding="utf-8")
    return {profile.name: profile for profile in map(_profile, json.loads(text)["pickups"])}


PROFILES = _shipped()
"""Name -> profile, in the order in which they are offered."""
