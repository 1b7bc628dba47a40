"""Boxwalk: a live exercise trainer for guitarists who play through a MIDI pickup.

Stamped bytes come in, frozen values flow one way through small machines that know no clock and no device, and a thin
shell of outside worlds (MIDI, sound, screen, files) is joined in one place. DEVELOPERS.md draws the map.
"""

__version__ = "0.1.0"
