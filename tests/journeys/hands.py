"""What a person does on a page: press a button with a finger or a mouse, type, choose."""

from playwright.sync_api import Page, expect

# A thumb that is wet and cold: nothing on the ramp's pages is lower than this.
LEAST_HIGH = 48
WIDEST_PHONE = 600


def is_phone(page: Page) -> bool:
    return page.viewport_size is not None and page.viewport_size["width"] < WIDEST_PHONE


def press(page: Page, words: str, *, role="button", within=None) -> None:
    """Tap it on a phone, where it has to be large enough; click it on a desk."""
    target = (within or page).get_by_role(role, name=words, exact=True)
    if is_phone(page):
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= LEAST_HIGH, words
        look_first(page)
        target.tap()
    else:
        target.click()


def look_first(page: Page) -> None:
    """Take the time of a person, for whom no tap is the second of two: the app waits 800 ms."""
    page.evaluate(
        "document.getElementById('app') && document.dispatchEvent(new Event('input'))",
    )


def write(page: Page, label: str, words: str) -> None:
    page.get_by_label(label).fill(words)


def choose(page: Page, group: str, words: str) -> None:
    """Choose one of a few, on their large faces."""
    radio = page.get_by_role("group", name=group).get_by_role("radio", name=words, exact=True)
    if is_phone(page):
        look_first(page)
        radio.tap()
    else:
        radio.click()
    expect(radio).to_be_checked()


def sees(page: Page, words: str) -> None:
    expect(page.locator("main")).to_contain_text(words)


def headed(page: Page, words: str) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(words)
