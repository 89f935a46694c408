"""What may happen: the kennel carried on many times, policies side by side."""
