"""What should be played: tempo, meter, exercises, and how they are composed, read and excerpted."""
