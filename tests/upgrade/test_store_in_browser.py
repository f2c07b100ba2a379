"""The store of a phone of 0.1.0, in a real browser: opened by today's app, then by the next one."""

import pytest
from playwright.sync_api import expect

from samples.models import Fish
from tests import chromium
from tests.upgrade.test_phone import STORE_1, had_arrived, phone_of, records_in
from tests.upgrade.world import make_world

pytestmark = pytest.mark.browser

# A file of the site that runs no script: what is done there is done to the site's own store.
EMPTY = "/static/samples/tokens.css"
STORE = "/static/samples/ramp/store.js"

PUT_IN = """async ({ version, stores }) => {
  const database = await new Promise((resolve, reject) => {
    const asked = indexedDB.open("earstone", version);
    asked.onupgradeneeded = () => {
      for (const [name, { keyPath, autoIncrement, indexes, records }] of Object.entries(stores)) {
        const store = asked.result.createObjectStore(name, { keyPath, autoIncrement });
        for (const [index, how] of Object.entries(indexes)) {
          store.createIndex(index, how.keyPath, { unique: how.unique });
        }
        for (const [key, value] of records) keyPath ? store.put(value) : store.put(value, key);
      }
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  database.close();
}"""

OPEN_AT_THE_NEXT = """async (script) => {
  const { build } = await import(script);
  const [{ version }] = await indexedDB.databases();
  const database = await new Promise((resolve, reject) => {
    const asked = indexedDB.open("earstone", version + 1);
    asked.onupgradeneeded = ({ oldVersion }) => {
      build(asked.result, oldVersion);
      asked.result.createObjectStore("of_a_later_day");
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  const request = database.transaction("entries").objectStore("entries").getAll();
  const entries = await new Promise((resolve) => {
    request.onsuccess = () => resolve(request.result);
  });
  const stores = [...database.objectStoreNames];
  database.close();
  return { entries, stores };
}"""


@pytest.fixture
def phone(open_page, transactional_db):
    page = open_page(chromium.PHONE)
    page.goto(EMPTY)
    return page


def test_the_next_version_is_built_over_what_a_phone_of_version_1_holds(phone):
    phone.evaluate(PUT_IN, STORE_1["earstone"])

    found = phone.evaluate(OPEN_AT_THE_NEXT, STORE)

    assert found["entries"] == records_in(STORE_1)
    assert found["stores"] == ["entries", "kept", "of_a_later_day", "people"]


def test_todays_app_sends_the_fish_that_a_phone_of_version_1_held(phone, live_server):
    world = make_world()
    had_arrived(world, live_server, {"taken", "held"})
    held = phone_of(world, "guide", records_in(STORE_1))["earstone"]
    held["stores"]["kept"]["records"][0][1] = str(world.people["guide"].pk)
    phone.evaluate(PUT_IN, held)

    phone.goto("/ramp/app/")

    # It stands there once the store was read; by then the others are counted until they went.
    expect(phone.locator("#count-look")).to_have_text("1")
    expect(phone.locator("#count-here")).to_have_text("0")
    assert sorted(Fish.objects.values_list("vial__sequence", flat=True)) == [1, 2, 3, 5]
