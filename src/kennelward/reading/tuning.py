"""Constants of the reader itself. A kit's numbers never stand here.

"scenes" means set by count on the demo's drawn scenes (demo/scenes.py), "simulated" on
the scenes of training/, whose figures stand in docs/methods/reader.md. Real pictures
were looked at, never fitted to.
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

# lines
INTERVAL_Z = 1.96  # 95 %
GREY_RATIO = 0.72  # red/green; gold gives .23-.32, grey .80-.92 (prototype, sec. 7)
GOLD_RATIO = 0.5  # red/green of a control line that is surely coloured
GREY_FROM = 0.04  # OD; below it the ratio is not to be trusted (same)
GREY_BELOW = 0.35  # OD; a line as dark did not come up by drying (from memory)

# the networks' answers; all simulated
WINDOW_LOGIT = 4.0  # a window in a whole photo; 134 simulated ones: 5.9 and more
# the same, mean of nudged starts; 238 simulated ones: four of one bad scene 3.8, all
# others 5.6 and more
STEADY_LOGIT = 5.0
# light of what fills a window over its own green, red or blue: 230 simulated photos .56
# to 1.76, 390 real ones .39 to 1.88 (those are never judged by it: no rim to see)
MEMBRANE_COLOUR = (0.5, 1.95)
EMPTY_TO_RIM = 0.25  # 230 simulated photos .31 to 9.2; empty housings .16 and less
CUT_CLEAR_LOGIT = 4.0  # above: no other start is tried
CUT_LOGIT = -1.0  # in a picture that is said to be one
MOST_WINDOWS = 3  # looked at closely
SURE_SPREAD = 0.02  # of the length; where nudged starts end farther apart, no absence,
# and in a whole photo nothing without marked corners: 0.7 % of simulated ones
UNDIRECTED_SPREAD = 0.012  # the same where the housing tells no direction: 1.5 %
UNDIRECTED_SEES = 0.2  # there, a photo that shows no line below this OD: 0 of 127 lost
MOST_SPREAD = 0.10  # where they end farther apart still, nothing is called
MARKS_WITHIN = 0.12  # of the length; a refined window stays as near a person's marks
LEAST_WINDOW_PX = 45.0
SECOND_WITHIN = 2.0  # log odds; a second window as likely is a second strip
CUT_SLACK = 0.03  # of the length that a window may stick out of the picture
LINE_LOGIT = 2.0  # above: a line; 99 % of blank strips of the worst unseen level: 1.84
EXTRA_LOGIT = 4.0  # above: surely a line, where the kit has none
BETWEEN = 0.05  # share of the length about the middle between two places
PLACE_REACH = 0.32  # of the length; housings differ in where lines sit
# whole simulated photos of trained housings, half of them with a line of OD .008 to .4
CHANCE_SLOPE, CHANCE_SHIFT = (
    0.424,
    0.282,
)  # expected calibration error .014, unseen .030
# so faint and so unsure that a blemish is as likely: neither a line nor none
MAYBE_LOGIT = 1.0
MAYBE_BELOW_LOGIT = 3.5
MAYBE_BELOW_OD = 0.05
OD_SD_FACTOR = 1.0  # 95 % holds 91 (bad) to 97 % (good)
LOD_FACTOR = 1.0  # as the network was trained; real pictures do better, see the docs
COPIED_GRAIN = 0.55  # correlation; 501 strips, 386 of them real: both limits passed by
COPIED_OVER_NEXT = 1.5  # none, see docs/methods/reader.md
COPY_LOGIT = 3.0  # no simulated strip of a training batch passed it
CLEAR_FLOW_LOGIT = 5.0  # surely a housing, also where its strip shows no line
FLOW_LOGIT = 2.5  # log odds; below, a person is asked
GREY_MOST = 1.3  # red/green above it is a blue line
GREY_LEAST_BLUE = 0.75  # blue/green below it is a blue line
