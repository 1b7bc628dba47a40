"""Learning what a pickup sends: its channels, its bend range and how late it is.

Each of the three steps is a machine fed with what arrives on the strings; the guide asks for one after the other and
puts what they learned into a pickup profile. They know no clock, no port and no screen, so that the terminal, the
window and the tests go the same way with the same words.
"""
