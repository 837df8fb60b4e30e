"""Facts of the chosen part: its fields, its computed numbers, its findings."""
