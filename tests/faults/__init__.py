"""What goes wrong around the program: full disks, missing devices, killed processes, strange homes, jumping clocks."""
