"""What to work on and why: weak transitions and the drills for them."""
