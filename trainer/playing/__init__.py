"""What was played: from stamped MIDI bytes to the onsets, ends and techniques of notes on strings."""
