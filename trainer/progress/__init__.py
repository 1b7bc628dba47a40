"""Progress: what the history shows over weeks, as pictures with a sentence each, and what a plan needs to know."""
