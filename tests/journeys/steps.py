"""What people do at the desk, step by step, by the words on the screen."""

import re
from typing import Any

from playwright.sync_api import Page, expect

PASSWORD = "blue-kettle-hangs-low-7"  # made up for tests


def log_in(page: Page, *, username: str, password: str) -> None:
    """Through the login page."""
    page.goto("/account/login/")
    page.get_by_label("Your name here").fill(username)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Open the book").click()
    expect(page.get_by_role("navigation").first).to_be_visible()


def open_new_book(page: Page) -> None:
    """First start: whatever address is asked for, the set-up page comes."""
    page.goto("/due/")
    expect(page.get_by_role("heading", level=1)).to_have_text("A new book")
    page.get_by_label("Name of the kennel").fill("Fern Hollow")
    page.get_by_label("Your vet").fill("Dr Aspen")
    page.get_by_label("Vet's phone").fill("01632 960001")
    page.get_by_label("Out-of-hours phone").fill("01632 960002")
    page.get_by_label("Name to log in with").fill("ada")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Open the book").click()
    expect(page.get_by_role("heading", level=1)).not_to_have_text("A new book")


def make_pens(page: Page) -> None:
    """A yard with one pen of each kind that matters."""
    page.goto("/pens/quick/")
    page.get_by_role("button", name="Make them").click()
    expect(page.get_by_role("button", name="Make them")).to_have_count(0)


def add_dog(page: Page, *, name: str, born_on: str, pen: str) -> None:
    """A dog that is already here."""
    page.goto("/dogs/add/")
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_role("radio", name="bitch").check(force=True)
    page.get_by_label("Born on").fill(born_on)
    page.get_by_label("Pen", exact=True).select_option(label=pen)
    page.get_by_role("button", name="Put it in the book").click()
    expect(page.get_by_role("button", name="Put it in the book")).to_have_count(0)


def confirm_leaflet(page: Page, kit: str, **leaflet: Any) -> None:
    """Type off what the leaflet in the box says."""
    page.goto(f"/setup/leaflet/{kit}/")
    page.get_by_label("Drops onto the strip").fill(str(leaflet.get("drops", 3)))
    read_from, read_until = leaflet.get("minutes", (5, 10))
    page.get_by_label("Read from, minutes after the drops").fill(str(read_from))
    page.get_by_label("Read until, minutes after the drops").fill(str(read_until))
    page.get_by_label("Keep at, from").fill("4")
    page.get_by_label("Keep at, to").fill("30")
    page.get_by_role("checkbox").first.check(force=True)
    page.get_by_role("button", name="So it says").click()
    expect(page.get_by_role("button", name="So it says")).to_have_count(0)


def answer_danger_check(page: Page, *, yes: tuple[str, ...] = ()) -> None:
    """Five taps on the danger check that is open: no, or yes to the questions named."""
    questions = page.locator("fieldset.asked")
    expect(questions).to_have_count(5)
    for question in questions.all():
        asked = question.locator("strong").inner_text()
        answer = "yes" if any(word in asked for word in yes) else "no"
        question.locator(f"label.is-{answer}").click()
    page.get_by_role("button", name="That is what I see").click()


def due_texts(page: Page) -> list[str]:
    """What the list of this week says is due."""
    page.goto("/due/")
    return page.locator(".due-what").all_text_contents()  # folded ones too


def start_test(page: Page, *, dog: str) -> None:
    """From Bench by the dog's name and the kit to the running clock."""
    page.goto("/bench/")
    page.get_by_role("link", name=dog).first.click()
    page.get_by_role("link", name="Giardia").first.click()
    answer_danger_check(page)
    page.get_by_role("radio", name="stool").first.check(force=True)
    page.get_by_role("radio").last.check(force=True)
    page.get_by_label("I looked: the printed date has not passed").check(force=True)
    page.get_by_role("button", name="Drops are on: start the clock").click()
    expect(page).to_have_url(re.compile(r"/bench/test/"))
