"""The outside worlds that make and take sound: MIDI ports, the simulated player, the sound card, the take file.

Every source of messages is polled: `poll(now_ns)` gives what has arrived since, stamped on the clock of `now_ns`, and
`status` says in one sentence how things stand. A source that loses its device says so and stays quiet; it never raises.
"""
