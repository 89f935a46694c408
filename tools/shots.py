"""Take the pictures of the README from a desk on the made-up kennel.

Starts a desk of its own in a temporary folder, so that nothing real can be in a picture.
Run by `python3 start.py shots`; needs Chromium.
"""

import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(HERE))

PICTURES = HERE / "docs" / "pictures"
PAGES = (  # name of the picture, address, width, look
    ("start", "/", 390, "light"),
    ("round", "/round/", 390, "light"),
    ("due", "/due/", 390, "light"),
    ("bench", "/bench/", 390, "light"),
    ("pens", "/pens/", 1280, "light"),
    ("due-wide", "/due/", 1280, "light"),
    ("shelf", "/shelf/", 390, "light"),
    ("handbook", "/handbook/", 1280, "light"),
    ("due-dark", "/due/", 390, "dark"),
)


def main() -> int:
    from playwright.sync_api import sync_playwright

    from tests.journeys.serving import chromium, serve_desk
    from tests.journeys.steps import log_in
    from tests.journeys.watching import start_browser, watched_page

    if not chromium():
        print("no chromium on this machine; install it by name", file=sys.stderr)
        return 1
    PICTURES.mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        serve_desk(Path(folder), "--demo") as desk,
        sync_playwright() as playwright,
    ):
        browser = start_browser(playwright, chromium())
        for width in (390, 1280):
            for scheme in ("light", "dark"):
                wanted = [shot for shot in PAGES if shot[2:] == (width, scheme)]
                if not wanted:
                    continue
                with watched_page(
                    browser, address=desk.address, width=width, scheme=scheme
                ) as page:
                    log_in(page, username="demo", password=desk.password)
                    for name, address, *_ in wanted:
                        page.goto(address, wait_until="networkidle")
                        page.screenshot(path=PICTURES / f"{name}.png")
                        print(f"docs/pictures/{name}.png")
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
