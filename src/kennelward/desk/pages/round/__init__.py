"""Round: the daily walk through the pens, cleanest first, in a few taps."""
