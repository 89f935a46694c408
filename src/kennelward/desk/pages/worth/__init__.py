"""What results are worth: how a chance came about, next steps, figures, own results."""
