"""What has been played, over the years: one SQLite file in the user's data folder.

Facts are stored: the takes with their bytes, the lines as they were when played, and what the ear of the day said of
every note. Figures (minutes, counts, clean tempi) are derived from them by queries whenever they are asked for, so that
a better figure, or a better ear (`rejudging`), can be had of old takes.

The MIDI file in the folder of takes is the recording, safe against crashes; the history takes it in when the take is
over, and on opening whatever lies in the folder and is not in it yet. A history that cannot be written therefore loses
nothing, and one that is damaged can be made again.

Conventions: times within a take are ns from its start; `began` is the local time at which a take began, ISO 8601 with
its offset, and a day is that of `began`. Written notes are counted over all passes of a take, passes from 0.
"""
