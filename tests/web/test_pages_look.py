"""Every page and state in a real browser: accessible by axe-core's rules, no wider than a phone, drafts and warnings alive."""

import base64
import importlib.util
from pathlib import Path

import pytest

from tests.web.conftest import PASSPHRASE, RIGHT
from tests.web.running import Server
from tests.web.test_browser import enter, no_sideways, phone, until, webdriver
from tests.web.test_files import sheet_csv

__all__ = ["phone", "webdriver"]  # fixtures
pytestmark = pytest.mark.browser

SHEET = "/sheets/lock-gate"
DESK = f"/instructor{SHEET}"
WRONG = {
    "gate.before": "18/11",
    "gate.start": "18/11 A",
    "gate.end": "2 V",
    "gate.tau": "1 ms",
    "gate.i": "2-0.36e^(-t/tau) A",
}


@pytest.fixture
def server(tmp_path):
    running = Server(tmp_path, "--attempts", "5")
    yield running
    running.stop()


@pytest.fixture(scope="session")
def axe():
    """The accessibility engine as a script; it comes with a package for tests and is no part of this one."""
    found = importlib.util.find_spec("axe_core_python")
    if found is None:
        pytest.skip("the package axe-core-python is not installed")
    return (Path(found.origin).parent / "axe.min.js").read_text(encoding="utf-8")


def type_in(browser, answers):
    from selenium.webdriver.common.by import By

    for name, text in answers.items():
        field = browser.find_element(By.NAME, f"answer:{name}")
        field.clear()
        field.send_keys(text)


def press(browser, where):
    from selenium.webdriver.common.by import By

    browser.find_element(By.CSS_SELECTOR, where).click()


def states(browser, server, tmp_path):
    """Go through every page and state, and say its name at each."""
    from selenium.webdriver.common.by import By

    def shows(where):
        until(lambda: browser.find_elements(By.CSS_SELECTOR, where))

    browser.get(server.address + "/enter")
    yield "entering"
    browser.find_element(By.ID, "code").send_keys("2222-2222-2222-2222")
    press(browser, "main button")
    shows("#code-fault")
    yield "a wrong code"
    enter(browser, server, "S0001")
    yield "the empty sheet"
    type_in(browser, {**WRONG, "gate.tau": "(("})
    shows("#f-gate\\.i-reading math")
    shows("#f-gate\\.tau[aria-invalid]")
    yield "live readings and warnings"
    press(browser, "button[value=submit]")
    shows("#faults")
    yield "faults"
    type_in(browser, {"gate.tau": "1 ms"})
    press(browser, "button[value=check]")
    shows(".done")
    yield "a checked reading"
    press(browser, "button[value=submit]")
    until(lambda: "/attempts/" in browser.current_url)
    yield "an attempt"
    press(browser, "details.again summary")
    yield "asking to look again"
    browser.find_element(By.NAME, "sentence").send_keys("The unit stands in my working.")
    press(browser, "details.again button")
    until(lambda: "has not decided" in browser.page_source)
    attempt = browser.current_url
    yield "asked to look again"
    path = tmp_path / "other.csv"
    path.write_bytes(b"student,S0002\n" + sheet_csv(RIGHT))
    browser.get(server.address + SHEET)
    browser.find_element(By.ID, "file").send_keys(str(path))
    press(browser, "form[enctype] button[value=check]")
    shows("#faults")
    yield "somebody else's file"
    browser.get(f"{server.address}{SHEET}/practice/gate?set=7")
    yield "practice"
    type_in(browser, {"gate.tau": "1 ms"})
    press(browser, "button[value=try]")
    shows(".mark")
    yield "practice tried"
    browser.get(server.address + "/attempts/none")
    yield "nothing there"
    browser.get(server.address + "/instructor/enter")
    yield "the instructor enters"
    browser.find_element(By.ID, "passphrase").send_keys(PASSPHRASE)
    press(browser, "main button")
    shows("table")
    for page in ("", "?show=review", "/review", "/students/S0001", "/audit"):
        browser.get(server.address + (DESK + page))
        yield f"the desk's {page or 'sheet'}"
    browser.get(f"{server.address}{DESK}/review")
    browser.find_element(By.NAME, "reason").send_keys("It does.")
    press(browser, "section.card button")
    shows(".done")
    yield "decided"
    browser.get(attempt)
    yield "an attempt decided on"
    browser.get(server.address + DESK)
    press(browser, "button[value=closed]")
    shows("button[value=open]")
    browser.get(server.address + SHEET)
    yield "a closed sheet"
    browser.get(f"{server.address}{SHEET}/answers")
    yield "reference answers"
    browser.get(server.address + "/instructor")
    yield "all sheets"


CHECK = """
const done = arguments[arguments.length - 1];
axe.run(document, {resultTypes: ["violations"]}).then(found => done(found.violations.map(
  one => [one.impact, one.id, one.help, one.nodes.slice(0, 3).map(node => node.html.slice(0, 160)).join(" | ")])));
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_has_a_serious_fault_of_accessibility(server, phone, axe, tmp_path, scheme):
    browser = phone(1300, 900)
    browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    )
    found = []
    for state in states(browser, server, tmp_path):
        browser.execute_script(axe)
        found += [(state, *one) for one in browser.execute_async_script(CHECK) if one[0] in {"serious", "critical"}]
    for one in found:
        print(one)
    assert found == []


FOCUS = """
const one = document.activeElement;
if (!one || one === document.body) return null;
const style = getComputedStyle(one), box = one.getBoundingClientRect();
const inside = box.width && box.height && box.bottom > 0 && box.right > 0 && box.top < innerHeight && box.left < innerWidth;
return [one.outerHTML.slice(0, 80), style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2, Boolean(inside)];
"""


def test_the_keyboard_gets_through_every_page_and_its_place_is_seen(server, phone, tmp_path):
    """From the skip link on; every stop has an outline within the window, and after the last one the page is left."""
    from selenium.webdriver import ActionChains, Keys

    browser = phone(1300, 900)
    unseen = []
    for state in states(browser, server, tmp_path):
        browser.execute_script(
            "document.body.tabIndex = -1; document.body.focus(); document.body.removeAttribute('tabindex')"
        )
        stops = []
        while (
            stop := (ActionChains(browser).send_keys(Keys.TAB).perform(), browser.execute_script(FOCUS))[1]
        ) is not None:
            stops.append(stop)
            assert len(stops) < 120, (state, "a trap", stops[-3:])
        assert stops, state
        unseen += [(state, html) for html, outlined, inside in stops if not (outlined and inside)]
        if "nav class=" not in browser.page_source:  # a report has a way back and nothing to skip
            assert "Skip to the content" in stops[0][0], (state, stops[0])
    assert unseen == []


def test_no_page_is_wider_than_a_phone(server, phone, tmp_path):
    browser = phone(390, 800)
    wide = []
    for state in states(browser, server, tmp_path):
        width = browser.execute_script("return document.documentElement.scrollWidth")
        if width > 390:
            wide.append((state, width))
    assert wide == []


def test_every_page_in_print_says_whose_it_is(server, phone):
    reader = pytest.importorskip("pypdfium2", reason="the package pypdfium2 is not installed")
    browser = phone(1300, 900)
    enter(browser, server, "S0001")
    type_in(browser, WRONG)
    press(browser, "button[value=submit]")
    until(lambda: "/attempts/" in browser.current_url)
    for address in (browser.current_url, server.address + SHEET):
        browser.get(address)
        printed = browser.execute_cdp_cmd("Page.printToPDF", {"paperHeight": 5, "preferCSSPageSize": False})["data"]
        pages = [page.get_textpage().get_text_range() for page in reader.PdfDocument(base64.b64decode(printed))]
        assert len(pages) > 2
        assert [text.count("S0001") for text in pages] == [1] * len(pages)
        assert not any("Leave" in text or "Or hand in a file" in text for text in pages)


def test_what_is_typed_survives_a_reload_and_a_failed_file_and_goes_with_its_owner(server, phone, tmp_path):
    from selenium.webdriver.common.by import By

    def typed(name):
        return browser.find_element(By.NAME, f"answer:{name}").get_property("value")

    browser = phone(1100, 800)
    enter(browser, server, "S0001")
    type_in(browser, {"gate.tau": "12.5 ms"})
    press(browser, "input[value='the switch']")
    browser.refresh()
    until(lambda: typed("gate.tau") == "12.5 ms")
    assert browser.find_element(By.ID, "restored").is_displayed()
    assert browser.find_element(By.CSS_SELECTOR, "input[value='the switch']").is_selected()
    path = tmp_path / "other.csv"
    path.write_bytes(b"student,S0002\n" + sheet_csv(RIGHT))
    browser.find_element(By.ID, "file").send_keys(str(path))
    press(browser, "form[enctype] button[value=submit]")
    until(lambda: browser.find_element(By.ID, "faults"))
    assert "This file is S0002's; you are signed in as S0001." in browser.find_element(By.ID, "faults").text
    until(lambda: typed("gate.tau") == "12.5 ms")
    press(browser, "#answers button[value=submit]")
    until(lambda: "/attempts/" in browser.current_url)
    until(lambda: browser.execute_script("return localStorage.length") == 0)
    browser.get(server.address + SHEET)
    type_in(browser, {"gate.rth": "7 ohm"})
    press(browser, "form[action='/leave'] button")
    until(lambda: browser.find_element(By.ID, "code"))
    assert browser.execute_script("return localStorage.length") == 0
    enter(browser, server, "S0001")
    assert typed("gate.rth") == ""


def test_warnings_and_faults_come_and_go_while_one_types(server, phone):
    from selenium.webdriver.common.by import By

    browser = phone()
    enter(browser, server, "S0001")

    def said(name):
        return browser.find_element(By.ID, f"f-{name}-reading").text

    def border(name):
        field = browser.find_element(By.ID, f"f-{name}")
        return field.value_of_css_property("border-top-width"), field.get_attribute("aria-invalid")

    type_in(browser, {"gate.before": "18/11"})
    until(lambda: "No unit was read; the answer is asked with its unit (A)." in said("gate.before"))
    type_in(browser, {"gate.before": "2 V"})
    until(lambda: "This is a voltage; a current (A) is asked." in said("gate.before"))
    type_in(browser, {"gate.before": "0"})
    until(lambda: "Read as" in said("gate.before"))
    assert "!" not in said("gate.before")
    type_in(browser, {"gate.i": "2 - e^(-t/tau) A"})
    until(lambda: "tau stands for your own answer to “Time constant τ”" in said("gate.i"))
    assert border("gate.tau") == ("1px", None)
    type_in(browser, {"gate.tau": "(("})
    until(lambda: border("gate.tau") == ("2px", "true"))
    type_in(browser, {"gate.tau": "10 ms"})
    until(lambda: "Read as" in said("gate.tau"))
    assert border("gate.tau") == ("1px", None)
    no_sideways(browser)
