"""Every page that can be reached by following links, one of each kind."""

from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

from django.urls import Resolver404, URLPattern, URLResolver, get_resolver, resolve
from playwright.sync_api import Page

OF_EACH_KIND = 2  # pages of one kind looked at: two dogs differ more than one


def named_patterns(resolver: Any = None, spaces: str = "") -> Iterator[str]:
    """Full names of all addresses of the desk, such as `dogs:dog`."""
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            space = f"{spaces}{pattern.namespace}:" if pattern.namespace else spaces
            yield from named_patterns(pattern, space)
        elif isinstance(pattern, URLPattern) and pattern.name:
            yield f"{spaces}{pattern.name}"


def name_of(path: str) -> str:
    """Name of the page at that path; "" for a file."""
    try:
        return resolve(urlsplit(path).path).view_name
    except Resolver404:
        return ""


def links_of(page: Page) -> list[str]:
    """Where the links of this page lead, on this desk."""
    own = urlsplit(page.url)
    found: list[str] = page.eval_on_selector_all(
        "a[href]", "links => links.map(link => link.href)"
    )
    paths = []
    for link in found:
        parts = urlsplit(link)
        if (parts.scheme, parts.netloc) == (own.scheme, own.netloc):
            paths.append(parts.path + (f"?{parts.query}" if parts.query else ""))
    return sorted(set(paths))


def walk(page: Page, *, start: list[str]) -> Iterator[tuple[str, str]]:
    """(name, path) of pages, breadth first; the page is open at it when it is given.

    Links that end the visit or give a file are left alone.
    """
    waiting, seen = list(start), set(start)
    count: dict[str, int] = {}
    while waiting:
        path = waiting.pop(0)
        name = name_of(path)
        if not name or name in ENDS_THE_VISIT or count.get(name, 0) >= OF_EACH_KIND:
            continue
        answer = page.goto(path)
        assert answer is not None
        kind = answer.headers.get("content-type", "")
        if answer.status == 405 or not kind.startswith("text/html"):
            continue
        assert answer.status == 200, f"{answer.status} at {path}"
        name = name_of(page.url)
        if count.get(name, 0) >= OF_EACH_KIND:
            continue
        count[name] = count.get(name, 0) + 1
        yield name, path
        for link in links_of(page):
            if link not in seen:
                seen.add(link)
                waiting.append(link)


ENDS_THE_VISIT = {"account_logout", "alive", "authority"}
