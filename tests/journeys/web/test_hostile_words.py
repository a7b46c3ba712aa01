"""Words that would be a script elsewhere are only words here: typed, refused, kept, shown."""

from every_page import addresses
from rigs_kept import keep_rig

EVIL = (
    "<script>window.hit=1</script>"
    '"><img src=x onerror=window.hit=1>'
    "'><svg onload=window.hit=1>"
    "javascript:window.hit=1"
    "{{7*7}}"
)
SAYS = frozenset({400, 404, 409, 413, 422})
TYPE = """words => [...document.querySelectorAll(
  "input:not([type]), input[type=text], input[type=search], input[type=password], textarea")]
  .filter(one => one.checkVisibility() || one.closest("details"))
  .map(one => { one.value = words; return [...document.forms].indexOf(one.form); })"""
IS_HARMLESS = """() => window.hit === undefined
  && !document.querySelector("img[src=x], svg[onload], [href^='javascript:'], [onerror]")"""


def check(page):
    """Nothing ran, and nothing of it became a part of the page."""
    assert page.evaluate(IS_HARMLESS), page.url
    assert ">49<" not in page.content(), page.url


def test_what_is_typed_into_any_field_of_any_form_is_only_shown(enter, notebook):
    page = enter(refused=SAYS)
    ids = keep_rig(notebook)
    shown = 0
    for address in addresses(ids, more=()):
        if "text/html" not in page.context.request.get(address).headers["content-type"]:
            continue
        if address.endswith(".html"):  # the pocket card's page sends nothing; it has its own tests
            continue
        page.goto(address)
        for form in sorted(set(page.evaluate(TYPE, EVIL)) - {-1}):
            if not page.url.endswith(address):
                page.goto(address)
                page.evaluate(TYPE, EVIL)
            with page.expect_navigation(wait_until="domcontentloaded"):
                page.evaluate(f"HTMLFormElement.prototype.submit.call(document.forms[{form}])")
            check(page)
            shown += EVIL in page.locator("body").inner_text() + "".join(
                page.eval_on_selector_all("input, textarea", "all => all.map(one => one.value)")
            )
    assert shown > 20  # refused, and still there to be mended


def test_what_was_kept_is_only_shown_on_every_page(enter, notebook):
    page = enter(refused=SAYS)
    ids = keep_rig(notebook, EVIL)
    for address in addresses(ids):
        answer = page.context.request.get(address)
        assert answer.status < 500, address
        if "text/html" not in answer.headers["content-type"]:
            continue
        page.goto(address)
        check(page)
    for address in ("/rigs", "/aside", "/printers", f"/rigs/{ids['rig_id']}/history"):
        page.goto(address)
        assert "<script>window.hit=1</script>" in page.locator("main").inner_text()


def test_the_find_box_shows_it_as_it_was_typed_while_typing(enter, notebook):
    page = enter()
    keep_rig(notebook, EVIL)
    page.goto("/rigs")
    page.get_by_label("Find a rig").press_sequentially("<script>window.hit=1</script>no")
    page.get_by_text("No rig's name holds “<script>window.hit=1</script>no”.").wait_for()
    check(page)
