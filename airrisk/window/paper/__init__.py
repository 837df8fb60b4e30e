"""The report on screen: what is still assumed, a preview, saving."""
