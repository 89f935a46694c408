"""Frozen simulated scenes: windows, refusals, calls, contrast, direction, baselines.

Simulated figures, on scenes of training/ that no training run drew. *Unseen* are two
housings and one camera that were kept out of training. Thresholds are frozen in
reading/tuning.py. Draw scenes with benchmarks.reading.draw_scenes, then name the folder
in KENNELWARD_SCENES.
"""

import os
from collections.abc import Callable

import numpy as np

from benchmarks.reading.figures import calibration_error, share
from benchmarks.reading.scenes import Read, folder, read_scenes
from kennelward.reading.limits import fit_probit, limit_of_blank, three_sigma_limit
from kennelward.terms import BadInput

LEVELS = ("good", "ordinary", "bad")
VISIBLE = 0.020  # OD


def main() -> None:
    where = folder()
    if where is None:
        print("No frozen scenes here (KENNELWARD_SCENES): nothing measured.")
        return
    workers = int(os.environ.get("KENNELWARD_BENCH_WORKERS", "1"))
    read = read_scenes(where, workers=workers)
    for unseen in (False, True):
        part = [one for one in read if one.truth["unseen"] is unseen]
        print(f"\n{'UNSEEN' if unseen else 'trained'} housings and cameras, simulated")
        for level in LEVELS:
            print(f" {level}")
            table([one for one in part if one.truth["level"] == level])
        print(" all levels")
        table_all(part)


def arm(read: list[Read], name: str) -> list[Read]:
    return [one for one in read if one.truth["arm"] == name]


def count(
    name: str, read: list[Read], hit: Callable[[Read], bool], must: str = ""
) -> None:
    print(share(name, sum(hit(one) for one in read), len(read), must=must))


def is_kept(one: Read) -> bool:
    return one.call != "unreadable"


def table(read: list[Read]) -> None:
    """What depends on the level."""
    with_line, blank = arm(read, "line"), arm(read, "blank")
    both = with_line + blank
    count("window IoU > 0.7 unaided", both, lambda one: one.iou > 0.7)
    accepted = [one for one in both if one.iou > 0]
    count("accepted, IoU < 0.5", accepted, lambda one: one.iou < 0.5, "<= 2 %")
    count("from rough taps (4 %), IoU > 0.7", both, lambda one: one.iou_taps > 0.7)
    count("kept, with a line", with_line, is_kept)
    count("kept, without", blank, is_kept)
    kept_blank = [one for one in blank if is_kept(one)]
    count("false alarms of those kept", kept_blank, lambda one: one.call == "positive")
    print(f"  OD found 95 %, kept photos{od95(with_line):>35}")
    plain(with_line, blank)
    contrast(with_line)
    print(f"  window lost because: {reasons(both)}")


def reasons(read: list[Read]) -> dict[str, int]:
    found: dict[str, int] = {}
    for one in read:
        if one.reason:
            found[one.reason] = found.get(one.reason, 0) + 1
    return dict(sorted(found.items(), key=lambda pair: -pair[1]))


def od95(read: list[Read]) -> str:
    """By probit of the logarithm, over the kept photos of each drawn OD."""
    kept = [one for one in read if is_kept(one)]
    return probit(
        [one.truth["test"] for one in kept],
        [one.call in ("positive", "trace") for one in kept],
    )


def probit(ods: list[float], hits: list[bool]) -> str:
    levels = sorted(set(ods))
    tried = [sum(od == level for od in ods) for level in levels]
    found = [
        sum(hit for od, hit in zip(ods, hits, strict=True) if od == level)
        for level in levels
    ]
    try:
        return f"{fit_probit(levels, tried, found).found_at(0.95):.3f}"
    except BadInput as no:
        return str(no)


def plain(with_line: list[Read], blank: list[Read]) -> None:
    """The two baselines, threshold at 1 % false alarms on these very blanks."""
    for name in ("profile", "matched"):
        blanks = [getattr(one, name) for one in blank if one.iou > 0.5]
        lines = [one for one in with_line if one.iou > 0.5]
        if len(blanks) < 20 or not lines:
            continue
        threshold = float(np.quantile(blanks, 0.99))
        hits = [getattr(one, name) > threshold for one in lines]
        found = probit([one.truth["test"] for one in lines], hits)
        blank95 = limit_of_blank(blanks)
        sigma = three_sigma_limit(
            blanks, slope=1.0
        ).signal  # both are optical densities
        print(
            f"  baseline, {name:<10} threshold {threshold:.3f}, limit of blank "
            f"{blank95:.3f}, three sd {sigma:.3f}, OD found 95 % {found}"
        )


def contrast(read: list[Read]) -> None:
    """Lines of OD 0.03 and more where the direction was told right."""
    errors, inside = [], 0
    for one in read:
        if not one.is_right_way or one.iou < 0.5:
            continue
        for line, name in zip(one.lines, ("control", "test"), strict=False):
            true = one.truth[name]
            if true >= 0.03 and line["seen"]:
                errors.append(abs(line["od"] / true - 1))
                inside += line["low"] <= true <= line["high"]
    if errors:
        print(f"  contrast, OD >= 0.03: median error {np.median(errors):.1%}")
        print(share("  its 95 % interval covers", inside, len(errors), must="92-98 %"))


def table_all(read: list[Read]) -> None:
    """What is counted over all levels."""
    with_line, blank = arm(read, "line"), arm(read, "blank")
    seen = [one for one in with_line if one.truth["test"] >= VISIBLE]
    count(
        "visible line called negative",
        seen,
        lambda one: one.call == "negative",
        "<= 1.5 %",
    )
    for name, words in (("none", "no line at all"), ("alone", "test line alone")):
        part = arm(read, name)
        count(
            f"{words}: called negative",
            part,
            lambda one: one.call == "negative",
            "<= 1 %",
        )
        count(
            f"{words}: called positive",
            part,
            lambda one: one.call == "positive",
            "<= .5 %",
        )
    for name in ("line", "blank", "none", "alone"):
        part = [one for one in arm(read, name) if one.direction == "housing"]
        count(
            f"direction right when claimed, {name}",
            part,
            lambda one: one.is_right_way,
            ">= 98 %",
        )
    part = [one for one in blank if one.iou > 0.5]
    count("direction claimed", part, lambda one: one.direction == "housing")
    hue(with_line)
    chances, truths = [], []
    for one in [*with_line, *blank]:
        if one.is_right_way and one.iou > 0.5:
            for line, name in zip(one.lines, ("control", "test"), strict=False):
                chances.append(line["chance"])
                truths.append(one.truth[name] > 0.004)
    if chances:
        error = calibration_error(chances, truths)
        print(f"  expected calibration error of chance_line {error:.3f}   must <= .05")


def hue(read: list[Read]) -> None:
    """Gold lines flagged grey, and grey ones found grey, from OD 0.04 on."""
    strong = [
        one
        for one in read
        if one.truth["test"] >= 0.04 and one.is_right_way and one.lines[1]["seen"]
    ]
    gold = [one for one in strong if one.truth["red"] < 0.4 and not one.truth["grey"]]
    grey = [one for one in strong if one.truth["grey"]]
    count(
        "gold line flagged grey, OD >= .04",
        gold,
        lambda one: one.lines[1]["grey"],
        "< 5 %",
    )
    count("grey line flagged grey, OD >= .04", grey, lambda one: one.lines[1]["grey"])
    if gold and grey:
        a = np.array([one.lines[1]["ratio"] for one in grey])
        b = np.array([one.lines[1]["ratio"] for one in gold])
        area = (a[:, None] > b).mean() + 0.5 * (a[:, None] == b).mean()
        print(f"  area under the curve, red to green ratio: {area:.3f}")


if __name__ == "__main__":
    main()
