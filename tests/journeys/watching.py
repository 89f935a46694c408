"""A browser page that notes everything a page of ours must never do."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Playwright

LAUNCH = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
SIZES = {390: (390, 844), 1280: (1280, 900)}


class Watch:
    """What went wrong while a page was open."""

    def __init__(self, page: Page, own_hosts: set[str]) -> None:
        self.troubles: list[str] = []
        self.own_hosts = own_hosts
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.note(f"script error: {error}"))
        page.on("request", self._request)
        page.on("response", self._response)

    def note(self, trouble: str) -> None:
        """Keep one trouble for the end of the test."""
        self.troubles.append(trouble)

    def _console(self, message: Any) -> None:
        if message.type in ("error", "warning"):
            self.note(f"console {message.type}: {message.text}")

    def _request(self, request: Any) -> None:
        parts = urlsplit(request.url)
        is_sent = parts.scheme in ("http", "https", "ws", "wss")
        if is_sent and parts.hostname not in self.own_hosts:
            self.note(f"request to another host: {request.url}")

    def _response(self, response: Any) -> None:
        if response.status >= 500:
            self.note(f"{response.status} at {response.url}")


def start_browser(playwright: Playwright, executable: str) -> Browser:
    """Chromium of this machine."""
    return playwright.chromium.launch(executable_path=executable, args=list(LAUNCH))


@contextmanager
def watched_page(
    browser: Browser, *, address: str, width: int = 390, scheme: str = "light"
) -> Iterator[Page]:
    """A page of that width; at the end, any trouble it noted fails the test."""
    wide, high = SIZES[width]
    context = browser.new_context(
        viewport={"width": wide, "height": high},
        has_touch=width < 800,
        color_scheme=scheme,  # type: ignore[arg-type]
        base_url=address,
        reduced_motion="reduce",
        locale="en-GB",
        timezone_id="UTC",
    )
    context.set_default_timeout(15_000)
    page = context.new_page()
    watch = Watch(page, {urlsplit(address).hostname or ""})
    try:
        yield page
    except BaseException as error:
        for trouble in watch.troubles:
            error.add_note(trouble)
        raise
    finally:
        context.close()
    assert not watch.troubles, "\n".join(watch.troubles)


def axe_violations(page: Page) -> list[str]:
    """Each accessibility violation on the page: rule, help, and where it stands."""
    found = Axe().run(page).response["violations"]
    return [
        f"{one['id']} ({one['impact']}): {one['help']}: "
        + "; ".join(node["html"][:160] for node in one["nodes"][:4])
        for one in found
    ]


def overflows(page: Page) -> bool:
    """Whether the page is wider than the window, so that it scrolls sideways."""
    return bool(
        page.evaluate(
            "document.documentElement.scrollWidth > document.documentElement.clientWidth"
        )
    )


def picture(page: Page, to: Path) -> None:
    """The whole page as a picture."""
    to.parent.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=to, full_page=True)
