"""Music theory of the fretted neck, in integers only: pitch, scales, tunings, fretboard, positions, techniques."""
