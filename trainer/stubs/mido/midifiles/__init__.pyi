from mido import MetaMessage as MetaMessage
from mido import MidiFile as MidiFile
from mido import MidiTrack as MidiTrack
from mido import bpm2tempo as bpm2tempo
from mido import merge_tracks as merge_tracks
from mido import second2tick as second2tick
from mido import tempo2bpm as tempo2bpm
from mido import tick2second as tick2second
