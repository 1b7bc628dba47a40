"""What is heard, as samples: click, line, backing. Pure: no device, no clock, no file."""
