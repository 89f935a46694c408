"""Due: what is to be done, why, by which rule; done, put off or declined."""
