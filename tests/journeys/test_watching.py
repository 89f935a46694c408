"""The watch itself: it must see what it is there to see."""

import http.server
import threading

import pytest

from tests.journeys.watching import axe_violations, overflows, watched_page

pytestmark = pytest.mark.browser

GOOD = """<!doctype html><html lang="en"><head><title>Good</title>
<link rel="icon" href="data:,"></head><body><main><h1>Good</h1></main></body></html>"""
BAD = {
    "/console": "<script>console.error('planted')</script>",
    "/throws": "<script>throw new Error('planted')</script>",
    "/foreign": "<img alt='' src='http://192.0.2.1/planted.png'>",
    "/missing": "<script src='/planted.js'></script>",
}


class Pages(http.server.BaseHTTPRequestHandler):
    """One good page, and pages with one planted trouble each."""

    def do_GET(self):
        """Answer."""
        if self.path == "/planted.js":
            self.send_error(500)
            return
        body = GOOD.replace("</main>", BAD.get(self.path, "") + "</main>").encode()
        self.send_response(200)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        """Say nothing."""


@pytest.fixture(scope="module")
def address():
    """Where the planted pages are served."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Pages)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    thread.join()
    server.server_close()


def test_good_page_passes(browser, address):
    """Nothing is noted, nothing violated, nothing scrolls sideways."""
    with watched_page(browser, address=address) as page:
        page.goto("/")
        assert axe_violations(page) == []
        assert not overflows(page)


@pytest.mark.parametrize("path", BAD)
def test_trouble_is_noted(browser, address, path):
    """Each planted trouble fails the page's test."""
    with (
        pytest.raises(AssertionError, match="planted"),
        watched_page(browser, address=address) as page,
    ):
        page.goto(path, wait_until="commit")
        page.wait_for_timeout(300)


def test_violation_and_overflow_are_seen(browser, address):
    """A picture without words, and a bar wider than the phone."""
    with watched_page(browser, address=address) as page:
        page.goto("/")
        page.set_content(
            "<html lang='en'><title>x</title><main><h1>x</h1>"
            "<div style='width:900px'>wide</div><img src='data:,'></main>"
        )
        assert any(found.startswith("image-alt") for found in axe_violations(page))
        assert overflows(page)
