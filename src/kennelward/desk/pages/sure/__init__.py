"""How sure are we? The chance that an infection is absent, and what would help."""
