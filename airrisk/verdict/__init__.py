"""What the end of a fire run means: one rule, for one run and for thousands alike."""
