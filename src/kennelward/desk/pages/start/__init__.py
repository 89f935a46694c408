"""Start: three doors, what is due, who is kept apart, and the way to a first test."""
