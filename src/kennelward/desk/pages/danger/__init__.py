"""Danger: five questions about a dog before any strip; a yes leads to the vet."""
