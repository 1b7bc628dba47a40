"""Strangers' files and odd streams: whatever they hold, they are read or refused, soon, and nothing else happens.

A case is a valid file and a few edits that know its kind (`bending`): `Edit`s are whole numbers, so that hypothesis
draws and shrinks them, and a case can be written down. `targets` says how each kind is read and what it may be refused
with, `guarding` holds a case to its time, its memory and its folder, `running` draws the cases, `guided` draws them by
what code they reach (atheris).

    python -m tests.fuzzing --cases 200000      the long run, a line for each target
    python -m tests.fuzzing.guided TARGET       for ever, by coverage; needs atheris
"""
