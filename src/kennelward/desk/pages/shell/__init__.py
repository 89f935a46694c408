"""The frame every page hangs in: look, navigation, words of codes, who may open what.

Never: a rule about dogs, a database query of its own.
"""
