"""The fire transient: state, right-hand side, stepper, events, batches and smallest bore."""
