"""The job itself: numbers and times in, numbers and decisions out. No I/O, no clock, no logging."""
