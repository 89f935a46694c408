"""Constants of the reader itself. A kit's numbers never stand here.

"scenes" means set by eye and by count on our own drawn scenes (demo/scenes.py); the
real pictures kept for development were looked at, never fitted to.
"""

# photo
LARGEST_PIXELS = 64_000_000  # phones make up to 50 MP; three bytes each stay < 200 MB
LARGEST_BYTES = 60_000_000  # a 50 MP JPEG at best quality is about 30 MB
SMALLEST_SIDE = 24  # px; a window this small holds no line of 3 px
LONGEST_SIDE = 4096  # px kept: a window 0.1 of the picture is then 400 px long
DARK_LEVEL = 16  # of 255; below it sRGB steps exceed 5 % of the light
CLIPPED_LEVEL = 252
TOO_DARK_SHARE = 0.97  # scenes: dim rooms reach 0.3, a pocket 1.0
TOO_BRIGHT_SHARE = 0.90
FLAT_SD = 1.5  # of 255; a plain colour after JPEG

# finding the window
WORK_SIDE = 1280  # px of the copy searched; a 60 px window in 1600 px keeps 48 px
CROP_SIDE = 320  # px of the copy of a picture already cut to the window
KEEP_CANDIDATES = 10  # refined and checked one by one, best first
CROP_UNREST = 0.08  # OD; a picture said to be a window but restless as print is none

# straightened strip
STRIP_LENGTH = 320  # px along the flow
STRIP_WIDTH = 64  # px across
ROWS_USED = (0.22, 0.78)  # share of the width: keeps clear of the walls' shadow

# lines
LINE_SIGMAS = (0.016, 0.023, 0.033)  # share of length; 0.7-1.2 mm in a 16 mm window
SUPPORT_SIGMAS = 5.0  # half the local fit, in line sigmas
NOISE_PRIOR = 0.0040  # OD; ordinary level, 160 px, prototype's error budget
NOISE_PRIOR_WEIGHT = 12.0  # as many blank places; one strip gives only about ten
FALSE_ALARM_Z = 3.7  # over 9 places x 3 widths about 0.3 % a strip
INTERVAL_Z = 1.96  # 95 %
LEAST_LINE = 0.020  # OD; the amplitude filter's 99th percentile, ordinary, is 0.03
BAND_SHARE = 0.35  # every third of the width must show this share of the line
GREY_RATIO = 0.72  # red/green; gold gives .23-.32, grey .80-.92 (prototype, sec. 7)
GREY_FROM = 0.04  # OD; below it the ratio is not to be trusted (same)

READER = "classical-1"

# the networks' answers ("simulated" means set on drawn strips of training/, whose
# figures stand in docs/methods/reader.md; never on a real picture)
WINDOW_LOGIT = 0.0  # a window in a whole photo
CUT_CLEAR_LOGIT = 4.0  # above: no other start is tried
CUT_LOGIT = -1.0  # in a picture that is said to be one
MOST_WINDOWS = 3  # looked at closely
SURE_SPREAD = 0.02  # of the length; where nudged starts end farther apart, no absence
MOST_SPREAD = 0.10  # where they end farther apart still, nothing is called
MARKS_WITHIN = 0.12  # of the length; a refined window stays as near a person's marks
LEAST_WINDOW_PX = 45.0
SECOND_WITHIN = 2.0  # log odds; a second window as likely is a second strip
CUT_SLACK = 0.03  # of the length that a window may stick out of the picture
LINE_LOGIT = 1.5  # above: a line
EXTRA_LOGIT = 4.0  # above: surely a line, where the kit has none
PLACE_REACH = 0.32  # of the length; housings differ in where lines sit
CHANCE_SLOPE, CHANCE_SHIFT = 1.0, 0.0
OD_SD_FACTOR = 1.0
LOD_FACTOR = 0.14
FLOW_LOGIT = 2.5  # log odds; below, a person is asked
GREY_MOST = 1.3  # red/green above it is a blue line
GREY_LEAST_BLUE = 0.75  # blue/green below it is a blue line
