"""Homework: what a teacher asks for goes out as one file, and what was played for it comes back as one.

- `assignment`: what is asked for, and its file (`.walkwork`);
- `returned`: takes, what the pupil's machine measured in them, and their file (`.walkdone`);
- `container`: the zip archive that both are, read as from a stranger;
- `measuring`: what takes of a line come to, the same on both machines; `pieces` spreads that work over the cores and
  `cache` keeps what came of it;
- `folders`: what either machine keeps in the data folder; `places`: where people keep files;
- `making` and `giving_back` write the two files;
- `collecting`: twenty returned files as one table; `intake` reads them, `cells` says what stands in it;
- `job`: such work beside the frames of a window.

A line is known by its digest, which covers what is to be played and not what it is called. A take counts for a line
when the line in its header is that one, or a stretch of it. What a file claims is never taken on trust: the takes are
judged again by the lines and the limits of whoever reads it.
"""
