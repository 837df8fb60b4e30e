"""All that is compiled: places, rates, steps, events, entries; how compiled code is found."""
