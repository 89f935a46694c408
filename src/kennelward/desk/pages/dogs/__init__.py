"""Dogs: every dog in one line, a dog's own page, and what can be written about it."""
