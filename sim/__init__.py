"""A model world that plays the same ports as the hardware."""
