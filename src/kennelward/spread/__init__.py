"""Where an infection may be and may go: exact small-group results so far.

Pure arithmetic, no luck of its own. Never: a claim that a dog or kennel is free of an
infection, a blame, a drug.
"""
