"""Housing families and light levels as data: millimetres, shares and chances.

Every pair is the range a value is drawn from. Shapes and sizes are invented within the
geometry measured on real openings (length to width 2:1 to 7:1, see the model card); no
family copies a product. `HELD_OUT_*` are never trained on: figures on them are *unseen*.
"""

ORDER = (
    "body_length", "body_width", "body_round", "pinch", "window_length", "aspect",
    "window_round", "funnel_end", "funnel_side", "depth", "well_away", "well_long",
    "well_wide", "windows", "pitch", "gap_chance", "three_chance", "tint_chance",
    "rim", "dipstick", "window_shift", "wells",
)  # fmt: skip

_BASE = {
    "body_length": (62, 78), "body_width": (18, 25), "body_round": (0.1, 0.5),
    "pinch": (0.0, 0.12), "window_length": (13, 18), "aspect": (3.6, 5.2),
    "window_round": (0.0, 0.5), "funnel_end": (0.3, 1.5), "funnel_side": (0.3, 1.2),
    "depth": (0.3, 1.0), "well_away": (18, 26), "well_long": (2.0, 3.8),
    "well_wide": (1.8, 3.0), "windows": (1, 1), "pitch": (8, 11),
    "gap_chance": (0.15, 0.15), "three_chance": (0.1, 0.1), "tint_chance": (0.2, 0.2),
    "rim": (-0.25, 0.35), "dipstick": (0, 0), "window_shift": (-6, 8), "wells": (1, 1),
}  # fmt: skip


def _family(**changes):
    return {**_BASE, **changes}


FAMILIES = {
    "square": _family(body_round=(0.05, 0.25), window_round=(0.0, 0.3)),
    "funnel": _family(
        funnel_end=(1.5, 4.5), funnel_side=(1.0, 3.2), depth=(0.8, 2.2),
        window_length=(11, 17), aspect=(2.8, 5.0), window_round=(0.05, 0.6),
    ),
    "oval": _family(
        body_round=(0.8, 1.0), window_round=(0.7, 1.0), window_length=(11, 17),
        aspect=(3.0, 4.6), funnel_end=(0.4, 2.5), funnel_side=(0.4, 2.5),
    ),
    "short": _family(
        window_length=(7, 11.5), aspect=(1.9, 3.2), funnel_end=(0.6, 3.5),
        funnel_side=(0.6, 2.6), depth=(0.5, 2.0), window_round=(0.0, 1.0),
    ),
    "three": _family(
        window_length=(15, 22), aspect=(4.2, 5.8), three_chance=(0.85, 0.85),
        funnel_end=(0.3, 2.5),
    ),
    "twin": _family(
        body_width=(24, 36), windows=(2, 2), pitch=(8, 13), wells=(2, 2),
        window_length=(12, 17), aspect=(3.6, 5.0), funnel_end=(0.3, 2.5),
    ),
    "triple": _family(
        body_width=(32, 50), windows=(3, 3), pitch=(8, 13), wells=(3, 3),
        window_length=(11, 16), aspect=(3.4, 4.8), funnel_end=(0.3, 2.0),
    ),
    "dipstick": _family(
        body_length=(55, 85), body_width=(3.0, 5.2), body_round=(0.0, 0.15),
        pinch=(0, 0), window_length=(14, 28), aspect=(3.6, 7.0), window_round=(0, 0.1),
        funnel_end=(0.05, 0.3), funnel_side=(0.02, 0.06), depth=(0.02, 0.1),
        gap_chance=(0.0, 0.0), dipstick=(1, 1), wells=(0, 0), window_shift=(-8, 8),
    ),
    "card": _family(
        body_length=(50, 90), body_width=(30, 60), body_round=(0.0, 0.15),
        depth=(0.05, 0.4), funnel_end=(0.05, 0.3), funnel_side=(0.05, 0.3),
        window_round=(0.0, 1.0), gap_chance=(0.35, 0.35), rim=(-0.1, 0.1),
        window_length=(10, 20), aspect=(2.4, 5.5),
    ),
    "tray": _family(
        body_width=(12, 17), body_length=(70, 95), window_length=(17, 26),
        aspect=(4.8, 7.0), well_wide=(1.5, 2.4), body_round=(0.1, 1.0),
    ),
    # held out
    "pen": _family(
        body_length=(100, 140), body_width=(15, 21), body_round=(0.5, 1.0),
        pinch=(0.0, 0.3), window_length=(8, 13), aspect=(2.4, 4.0),
        window_round=(0.5, 1.0), funnel_end=(0.8, 3.0), funnel_side=(0.8, 2.5),
        well_away=(40, 55), wells=(0, 0), window_shift=(-12, 12),
    ),
    "chamfer": _family(
        body_round=(0.5, 1.0), pinch=(0.1, 0.3), tint_chance=(1, 1),
        window_round=(0.6, 1.0), window_length=(12, 19), aspect=(3.2, 5.0),
        funnel_end=(0.5, 3.0), funnel_side=(0.5, 2.0), well_long=(3, 5),
    ),
}  # fmt: skip

HELD_OUT_FAMILIES = ("pen", "chamfer")
TRAINED_FAMILIES = tuple(name for name in FAMILIES if name not in HELD_OUT_FAMILIES)

# camera pipelines: chances and strengths; "local" is held out
CAMERAS = {
    "plain": {"denoise": (0.0, 0.5), "edge_keep": 0, "sharpen": (0, 0.5), "curve": (0, 0.3), "saturation": (0.9, 1.2), "local": (0, 0), "twice": 0.1},
    "smear": {"denoise": (0.5, 1.0), "edge_keep": 0, "sharpen": (0.4, 1.6), "curve": (0, 0.35), "saturation": (0.9, 1.3), "local": (0, 0), "twice": 0.2},
    "contrast": {"denoise": (0.2, 0.7), "edge_keep": 0, "sharpen": (0.3, 1.2), "curve": (0.1, 0.5), "saturation": (1.1, 1.5), "local": (0, 0), "twice": 0.2},
    "guided": {"denoise": (0.4, 0.9), "edge_keep": 1, "sharpen": (0.2, 1.2), "curve": (0, 0.35), "saturation": (0.9, 1.3), "local": (0, 0), "twice": 0.2},
    "messenger": {"denoise": (0.2, 0.8), "edge_keep": 0, "sharpen": (0.2, 1.0), "curve": (0, 0.35), "saturation": (0.9, 1.3), "local": (0, 0), "twice": 1.0},
    "local": {"denoise": (0.5, 1.0), "edge_keep": 1, "sharpen": (0.4, 1.2), "curve": (0.2, 0.6), "saturation": (1.1, 1.5), "local": (0.15, 0.5), "twice": 0.3},
}  # fmt: skip
HELD_OUT_CAMERAS = ("local",)
TRAINED_CAMERAS = tuple(name for name in CAMERAS if name not in HELD_OUT_CAMERAS)

# share of scenes with a plain, light membrane: no patches, streaks, fronts, spots, pads
CALM = 0.5

# the three levels of strip-reader work: what a photo does to the strip
LEVELS = {
    "good": {"haze": 0.02, "uneven": (0.001, 0.004), "glare": 0.0, "blur_px": (0.4, 0.9), "motion_px": 1.0, "electrons": (4000, 10000), "jpeg": (85, 96), "white": 0.04, "tilt": 12, "shadow": 0.1, "patchy": 0.1, "streaky": 0.2},
    "ordinary": {"haze": 0.06, "uneven": (0.002, 0.008), "glare": 0.08, "blur_px": (0.5, 1.6), "motion_px": 3.0, "electrons": (1200, 6000), "jpeg": (75, 95), "white": 0.08, "tilt": 25, "shadow": 0.3, "patchy": 0.2, "streaky": 0.3},
    "bad": {"haze": 0.14, "uneven": (0.004, 0.016), "glare": 0.3, "blur_px": (1.0, 4.0), "motion_px": 9.0, "electrons": (200, 1500), "jpeg": (60, 88), "white": 0.15, "tilt": 38, "shadow": 0.6, "patchy": 0.3, "streaky": 0.4},
}  # fmt: skip
