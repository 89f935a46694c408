"""What a benchmark's process held at most."""


def peak_memory() -> str:
    """What this process held at most, its libraries and compiled code included."""
    try:
        import resource
    except ImportError:  # not on Windows
        return "peak memory: not known here"
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return f"peak memory of this process: {held / 1024:,.0f} MB"
