"""What the player sees: screens that are driven by commands and drawn with pygame."""
