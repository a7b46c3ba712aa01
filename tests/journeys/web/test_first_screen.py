"""Each page's first screen on a phone holds its answer, whatever stands below."""

from browser import PHONE
from rigs_kept import keep_rig

ANSWERS = {  # address under a rig: what must be seen without a scroll
    "?now=1": ".next .button.main",
    "/marks": "[aria-label^='What to dial'] tbody tr:nth-child(5)",
    "/ask/card": "#found tbody tr:nth-child(3)",
    "/ask/slopes": "#found tbody tr:nth-child(3)",
    "/ask/wind": "#found tbody tr:nth-child(3)",
    "/ask/weather?temperature=5+°C": "#found tbody tr:nth-child(3)",
    "/ask/hold": "#found tbody tr:nth-child(3)",
    "/ask/budget": "#found tbody tr:nth-child(3)",
    "/plan": ".plan-steps li:first-child",
    "/shoot": ".actions .main",
    "/tape": "#preview .main",
    "/gauge": "#preview .main",
    "/target": "#preview .main",
}
SEEN = """one => one.getBoundingClientRect().bottom"""


def test_the_first_screen_of_a_phone_holds_the_answer(enter, notebook):
    page, here = enter(), f"/rigs/{keep_rig(notebook)['rig_id']}"
    low = {}
    for address, answer in ANSWERS.items():
        page.goto(here + address)
        bottom = page.locator(answer).first.evaluate(SEEN)
        if bottom > PHONE["height"]:
            low[address] = bottom
    assert not low
    page.goto(here)  # what comes a moment later lies there, too, with one filled button
    page.locator(".next .button.main").wait_for()
    page.get_by_role("list", name="Marks").wait_for()
    filled = "all => all.filter(one => one.checkVisibility()).length"
    assert page.eval_on_selector_all("#glance .main", filled) == 1
