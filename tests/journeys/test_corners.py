"""The four corners and the tap on the well, in a browser: mouse, finger and keyboard.

The page's own pieces and script, without a desk behind them: what the form would send
is what is looked at.
"""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.template.loader import render_to_string
from PIL import Image
from playwright.sync_api import Browser, Page, Route

from kennelward.desk.pages import bench

pytestmark = [pytest.mark.browser, pytest.mark.slow]

STATIC = Path(bench.__file__).parent / "static" / "bench"
START = "0.3,0.6;0.3,0.4;0.7,0.4;0.7,0.6"
WELL = """<form method="post" action="/sent" data-well><input type="hidden"
name="well_at"><p data-tap hidden>Tap</p><img class="photo" src="/photo.jpg"></form>"""


def corners_form() -> str:
    """The form as the result page shows it."""
    one = SimpleNamespace(
        entry=SimpleNamespace(entry="e"),
        corners=START,
        corner_names=("First", "Second", "Third", "Fourth"),
    )
    card = SimpleNamespace(test="t")
    return render_to_string("bench/_corners.html", {"one": one, "card": card})


@contextmanager
def opened(browser: Browser, form: str, *, width: int) -> Iterator[Page]:
    """A page that holds `form`, its style and its script."""
    photo = io.BytesIO()
    Image.effect_noise((800, 600), 60).convert("RGB").save(photo, "JPEG")
    html = (
        '<!doctype html><meta name="viewport" content="width=device-width">'
        '<link rel="stylesheet" href="/bench.css">'
        f'{form}<script type="module" src="/corners.js"></script>'
    )

    def answer(route: Route) -> None:
        path = route.request.url.split("//", 1)[1].split("/", 1)[1]
        if path.endswith(".jpg"):
            route.fulfill(body=photo.getvalue(), content_type="image/jpeg")
        elif (STATIC / path).is_file():
            kind = "text/css" if path.endswith("css") else "text/javascript"
            route.fulfill(body=(STATIC / path).read_bytes(), content_type=kind)
        else:
            route.fulfill(body=html, content_type="text/html")

    context = browser.new_context(
        viewport={"width": width, "height": 800}, has_touch=width < 600
    )
    context.route("**/*", answer)
    page = context.new_page()
    page.goto("http://desk.test/")
    yield page
    context.close()


def points(page: Page) -> list[tuple[float, ...]]:
    """What the form would send."""
    text = page.locator("input[name=corners]").input_value()
    return [tuple(map(float, pair.split(","))) for pair in text.split(";")]


def middle(page: Page, i: int) -> tuple[float, float]:
    box = page.locator("[data-corner]").nth(i).bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def others_stay(page: Page) -> None:
    was = [tuple(map(float, pair.split(","))) for pair in START.split(";")]
    assert points(page)[1:] == was[1:]


@pytest.mark.parametrize("width", [390, 1280])
def test_a_corner_is_dragged_by_mouse_under_a_glass(browser, width):
    with opened(browser, corners_form(), width=width) as page:
        page.locator("form").wait_for()
        x, y = middle(page, 0)
        glass = page.locator("canvas.glass")
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 12, y + 20, steps=4)
        assert glass.is_visible()
        page.mouse.up()
        assert not glass.is_visible()
        now = middle(page, 0)
        assert now == pytest.approx((x + 12, y + 20), abs=1.5)
        (px, py), *_ = points(page)
        assert px > 0.3
        assert py > 0.6
        others_stay(page)


def test_a_corner_is_dragged_by_finger(browser):
    with opened(browser, corners_form(), width=390) as page:
        page.locator("form").wait_for()
        x, y = middle(page, 0)
        touch = page.context.new_cdp_session(page)
        for kind, dx in (("touchStart", 0), ("touchMove", 6), ("touchMove", 15)):
            touch.send(
                "Input.dispatchTouchEvent",
                {"type": kind, "touchPoints": [{"x": x + dx, "y": y}]},
            )
        touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        assert middle(page, 0) == pytest.approx((x + 15, y), abs=1.5)
        others_stay(page)


def test_a_corner_is_moved_by_keyboard_and_never_off_the_photo(browser):
    with opened(browser, corners_form(), width=390) as page:
        page.locator("form").wait_for()
        first = page.locator("[data-corner]").first
        x, y = middle(page, 0)
        first.focus()
        assert page.locator("canvas.glass").is_visible()
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Shift+ArrowDown")
        assert middle(page, 0) == pytest.approx((x + 1, y + 10), abs=0.6)
        others_stay(page)
        for _ in range(200):
            page.keyboard.press("Shift+ArrowLeft")
        assert points(page)[0][0] == 0


def test_closer_and_farther_move_no_corner(browser):
    with opened(browser, corners_form(), width=1280) as page:
        page.locator("form").wait_for()
        before = points(page)
        page.locator("[data-closer]").click()
        page.locator("[data-farther]").click()
        assert points(page) == before


@pytest.mark.parametrize("width", [390, 1280])
def test_a_tap_on_the_well_sends_its_place(browser, width):
    with opened(browser, WELL, width=width) as page:
        assert page.locator("[data-tap]").is_visible()
        box = page.locator("img").bounding_box()
        assert box is not None
        with page.expect_request("**/sent") as sent:
            page.locator("img").click(
                position={"x": box["width"] * 0.25, "y": box["height"] * 0.5}
            )
        x, y = map(float, sent.value.post_data.split("well_at=")[1].split("%2C"))
        assert (x, y) == pytest.approx((0.25, 0.5), abs=0.01)
