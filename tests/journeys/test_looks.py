"""What the look at a page finds, on a page that has it all."""

import pytest

from tests.journeys.looks import faults_of

pytestmark = pytest.mark.browser

GOOD = """<!DOCTYPE html><html lang="en"><title>Vials</title>
<meta name="viewport" content="width=device-width"><body class="phone"><main>
<h1>Vials</h1>{more}</main></body></html>"""
WRONG = {
    "<h1>Two</h1>": "2 h1",
    '<input id="a">': "no label: a",
    '<p id="a">one</p><p id="a">two</p>': "an id is used twice: a",
    '<p aria-describedby="away">word</p>': "aria-describedby names nothing: away",
    "<table><tr><th>Arm</th></tr></table>": "no scope: Arm",
    '<svg viewBox="0 0 9 9"></svg>': "picture without a name",
    "<pre>" + "wide " * 200 + "</pre>": "scrolls sideways",
    '<a class="button-next" href="/a">A</a><a class="button-next" href="/b">B</a>': "2 buttons",
    '<button class="button">Save</button>': "px high: Save",
    "<small>fine print</small>": "px text: fine print",
    '<p style="color:#bbb">pale</p>': "color-contrast",
    "<style>:focus { outline: 0 }</style><button>Save</button>": "no focus ring",
    '<button>Save</button><div style="position:fixed;inset:0"></div>': "focus is hidden",
    '<fieldset class="choice-wrong"><legend>Sex</legend></fieldset>': "not of its group: Sex",
}


@pytest.mark.parametrize("fault", WRONG.values())
def test_a_fault_is_found(phone, fault):
    [html] = [html for html, words in WRONG.items() if words == fault]
    phone.set_content(GOOD.format(more=html))

    assert any(fault in line for line in faults_of(phone))


def test_a_page_without_faults_has_none(phone):
    phone.set_content(GOOD.format(more="<p><big>No vials received yet.</big></p>"))

    assert faults_of(phone) == []
