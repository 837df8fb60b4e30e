"""One fire: the arrays of its case, single runs and batches, and searches over them."""
