"""From what was played to a line that can be written down: heard notes, the grid that explains them, key and place."""
