"""The whole way in a real browser: a phone with the keyboard alone, an upload, two students, the instructor."""

import re
import shutil
import time

import pytest

from tests.web.conftest import PASSPHRASE, RIGHT
from tests.web.running import Server
from tests.web.test_files import sheet_csv
from tests.web.test_student import REVEALING

pytestmark = pytest.mark.browser

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
OPTIONS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", "--no-proxy-server",
)  # fmt: skip


@pytest.fixture(scope="module")
def webdriver():
    module = pytest.importorskip("selenium.webdriver", reason="the package selenium is not installed")
    if CHROMIUM is None or DRIVER is None:
        pytest.skip("there is no Chromium with its driver (Debian: apt-get install chromium chromium-driver)")
    return module


@pytest.fixture
def server(tmp_path):
    running = Server(tmp_path, "--attempts", "5")
    yield running
    running.stop()


@pytest.fixture
def phone(webdriver, tmp_path):
    """Makes browsers of a phone's size, each with a fresh profile."""
    opened = []

    def make(width=360, height=740):
        from selenium.webdriver.chrome.service import Service

        options = webdriver.ChromeOptions()
        options.binary_location = CHROMIUM
        for word in (*OPTIONS, f"--user-data-dir={tmp_path}/profile{len(opened)}", f"--window-size={width},{height}"):
            options.add_argument(word)
        if width < 500:
            metrics = {"width": width, "height": height, "pixelRatio": 2.0}
            options.add_experimental_option("mobileEmulation", {"deviceMetrics": metrics})
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        opened.append(webdriver.Chrome(options=options, service=Service(DRIVER)))
        return opened[-1]

    yield make
    for browser in opened:
        browser.quit()


def until(look, seconds=20.0):
    """Wait for something on a page, which may be loading."""
    from selenium.common.exceptions import WebDriverException

    end = time.monotonic() + seconds
    while True:
        try:
            found = look()
        except WebDriverException:
            found = None
        if found:
            return found
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.05)


def press(browser, *keys):
    """Type into whatever has the focus."""
    from selenium.webdriver import ActionChains

    ActionChains(browser).send_keys(*keys).perform()


def retype(browser, text):
    """Replace what stands in the field with the focus."""
    from selenium.webdriver import ActionChains, Keys

    ActionChains(browser).key_down(Keys.CONTROL).send_keys("a").key_up(Keys.CONTROL).send_keys(text).perform()


def focused(browser):
    return browser.switch_to.active_element


def tab_to(browser, wanted, most=80):
    """Press Tab until the focus is on an element for which `wanted` holds; every stop must be visible."""
    from selenium.webdriver import Keys

    for _ in range(most):
        press(browser, Keys.TAB)
        element = focused(browser)
        if wanted(element):
            return element
    raise AssertionError("the keyboard does not get there")


def named(name):
    return lambda element: element.get_attribute("name") == name


def button(text):
    return lambda element: element.tag_name == "button" and element.text.startswith(text)


def enter(browser, server, student):
    from selenium.webdriver.common.by import By

    browser.get(server.address + "/enter")
    browser.find_element(By.ID, "code").send_keys(server.codes[student])
    browser.find_element(By.CSS_SELECTOR, "main button").click()
    until(lambda: browser.find_element(By.ID, "answers"))


def no_sideways(browser):
    assert browser.execute_script("return document.documentElement.scrollWidth <= window.innerWidth")


def test_a_students_whole_way_on_a_phone_with_the_keyboard_alone(server, phone):
    from selenium.webdriver import Keys
    from selenium.webdriver.common.by import By

    browser = phone()
    sources = []
    browser.get(server.address + "/")
    no_sideways(browser)
    press(browser, Keys.TAB)
    assert focused(browser).text == "Skip to the content"
    tab_to(browser, named("code"))
    press(browser, server.codes["S0001"].lower(), Keys.ENTER)
    until(lambda: browser.find_element(By.ID, "answers"))
    no_sideways(browser)
    sources.append(browser.page_source)

    # While one types, the reading appears in its live region, and nothing counts.
    tab_to(browser, named("answer:gate.tau"))
    press(browser, "1/12 s")
    region = browser.find_element(By.ID, "f-gate.tau-reading")
    assert region.get_attribute("role") == "status"
    until(lambda: region.find_element(By.TAG_NAME, "math"))
    assert "Read as" in region.text

    # Enter in a field checks the reading and costs nothing.
    press(browser, Keys.ENTER)
    until(lambda: "Nothing was counted." in browser.find_element(By.CSS_SELECTOR, ".done").text)
    assert "You have made no attempt yet." in browser.page_source
    assert "done" in focused(browser).get_attribute("class")  # what happened is read out first
    sources.append(browser.page_source)

    # What cannot be read stops the attempt; the list of faults has the focus and leads to the field.
    tab_to(browser, named("answer:gate.tau"))
    retype(browser, "((")
    tab_to(browser, button("Submit attempt 1 of 5"))
    press(browser, Keys.ENTER)
    until(lambda: browser.find_element(By.ID, "faults"))
    assert focused(browser).get_attribute("id") == "faults"
    assert browser.title.startswith("Problem:")
    press(browser, Keys.TAB, Keys.ENTER)
    until(lambda: "#f-gate.tau" in browser.current_url)
    sources.append(browser.page_source)
    assert focused(browser) == browser.find_element(By.NAME, "answer:gate.tau")

    # A wrong answer, its nudge, and no reference answer anywhere.
    retype(browser, "7 s")
    tab_to(browser, button("Submit attempt 1 of 5"))
    press(browser, Keys.ENTER)
    until(lambda: "/attempts/" in browser.current_url)
    no_sideways(browser)
    text = browser.find_element(By.TAG_NAME, "main").text
    assert "Not yet" in text
    assert "Think about it:" in text
    sources.append(browser.page_source)

    # Once more, the right one; the practice page; leaving.
    tab_to(browser, lambda element: element.text == "Try again")
    press(browser, Keys.ENTER)
    tab_to(browser, named("answer:gate.tau"))
    retype(browser, "10 ms")
    tab_to(browser, button("Submit attempt 2 of 5"))
    press(browser, Keys.ENTER)
    until(lambda: "2 of 18 points" in browser.find_element(By.TAG_NAME, "main").text)
    sources.append(browser.page_source)
    browser.get(server.address + "/sheets/lock-gate/practice/gate?set=7")
    no_sideways(browser)
    tab_to(browser, button("Leave"))
    press(browser, Keys.ENTER)
    until(lambda: browser.find_element(By.ID, "code"))
    for source in sources:
        for piece in REVEALING:
            assert piece not in source
    severe = [entry["message"] for entry in browser.get_log("browser") if "Content Security Policy" in entry["message"]]
    assert severe == []


def test_everything_works_without_javascript(server, phone):
    from selenium.webdriver.common.by import By

    browser = phone()
    # The driver needs scripts itself, so the pages' only one is kept from loading; their policy allows no other.
    browser.execute_cdp_cmd("Network.enable", {})
    browser.execute_cdp_cmd("Network.setBlockedURLs", {"urls": ["*/static/*.js"]})
    enter(browser, server, "S0001")
    browser.find_element(By.NAME, "answer:gate.i").send_keys("2 - 0.4e^-100t A")
    time.sleep(1)
    assert not browser.find_elements(By.CSS_SELECTOR, "#f-gate\\.i-reading math")
    browser.find_element(By.CSS_SELECTOR, "button[value=check]").click()
    until(lambda: browser.find_elements(By.CSS_SELECTOR, "#f-gate\\.i-reading math"))
    browser.find_element(By.CSS_SELECTOR, "button[value=submit]").click()
    until(lambda: "/attempts/" in browser.current_url)
    assert "Partly right" in browser.find_element(By.TAG_NAME, "main").text


def test_a_file_handed_in(server, phone, tmp_path):
    from selenium.webdriver.common.by import By

    path = tmp_path / "homework.csv"
    path.write_bytes(sheet_csv({**RIGHT, "gate.tau": "7 ms"}))
    browser = phone(1100, 800)
    enter(browser, server, "S0002")
    browser.find_element(By.ID, "file").send_keys(str(path))
    browser.find_element(By.CSS_SELECTOR, "form[enctype] button[value=submit]").click()
    until(lambda: "16 of 18 points" in browser.find_element(By.TAG_NAME, "main").text)


def test_two_students_at_once_and_the_instructors_decision(server, phone):
    from selenium.webdriver.common.by import By

    one, other, desk = phone(), phone(), phone(1100, 800)
    enter(one, server, "S0001")
    enter(other, server, "S0002")
    one.find_element(By.NAME, "answer:gate.tau").send_keys("soon (((")
    other.find_element(By.NAME, "answer:gate.tau").send_keys("20 ms")
    one.find_element(By.CSS_SELECTOR, "button[value=submit]").click()
    other.find_element(By.CSS_SELECTOR, "button[value=submit]").click()
    until(lambda: "/attempts/" in other.current_url)
    assert "soon" not in other.page_source
    until(lambda: one.find_element(By.CSS_SELECTOR, "button[value=insist]")).click()
    until(lambda: "/attempts/" in one.current_url)
    assert "your instructor will look at this one" in one.page_source
    assert "20 ms" not in one.page_source
    other.get(one.current_url)
    assert "You have made no such attempt." in other.page_source

    desk.get(server.address + "/instructor")
    desk.find_element(By.ID, "passphrase").send_keys(PASSPHRASE)
    desk.find_element(By.CSS_SELECTOR, "main button").click()
    until(lambda: desk.find_element(By.LINK_TEXT, "Harbour Lock, gate and lamp")).click()
    until(lambda: desk.find_element(By.LINK_TEXT, "wait for you")).click()
    points = until(lambda: desk.find_element(By.NAME, "points"))
    points.clear()
    points.send_keys("1.5")
    desk.find_element(By.NAME, "reason").send_keys("Ten milliseconds were meant; <b>said</b> in class.")
    desk.find_element(By.XPATH, "//button[text()='Decide']").click()
    until(lambda: "The decision is kept." in desk.page_source)
    one.refresh()
    until(lambda: "1.5 of 18 points" in one.find_element(By.TAG_NAME, "main").text)
    assert "<b>said</b> in class." in one.find_element(By.CSS_SELECTOR, ".decision").text
    desk.get(server.address + "/instructor/sheets/lock-gate/audit")
    until(lambda: desk.find_element(By.TAG_NAME, "h1"))
    blocked = [entry["message"] for entry in desk.get_log("browser") if "Content Security Policy" in entry["message"]]
    assert blocked == []


def test_what_was_sent_comes_back_and_not_what_another_tab_types(server, phone):
    from selenium.webdriver.common.by import By

    browser = phone(1100, 800)
    enter(browser, server, "S0001")
    browser.find_element(By.NAME, "answer:gate.tau").send_keys("10 ms")
    browser.find_element(By.NAME, "answer:gate.end").send_keys("((")
    first = browser.current_window_handle
    browser.switch_to.new_window("tab")
    browser.get(server.address + "/sheets/lock-gate")
    tau = until(lambda: browser.find_element(By.NAME, "answer:gate.tau"))
    tau.clear()
    tau.send_keys("7 ms")
    browser.switch_to.window(first)
    browser.find_element(By.CSS_SELECTOR, "button[value=submit]").click()
    insist = until(lambda: browser.find_element(By.CSS_SELECTOR, "button[value=insist]"))
    assert browser.find_element(By.NAME, "answer:gate.tau").get_attribute("value") == "10 ms"
    assert not browser.find_element(By.ID, "restored").is_displayed()
    insist.click()
    until(lambda: "/attempts/" in browser.current_url)
    assert "2 of 18 points" in browser.find_element(By.TAG_NAME, "main").text


def test_back_and_loading_again_send_nothing_twice_and_lose_nothing(server, phone):
    from selenium.webdriver.common.by import By

    browser = phone(1200, 900)
    enter(browser, server, "S0001")
    field = lambda name: browser.find_element(By.NAME, f"answer:gate.{name}")  # noqa: E731
    value = lambda name: field(name).get_attribute("value")  # noqa: E731
    field("tau").send_keys("10 ms")
    browser.find_element(By.CSS_SELECTOR, "#answers button[value=check]").click()
    until(lambda: "answered=" in browser.current_url)
    field("end").send_keys("2 A")  # typed on the page that came back
    browser.refresh()
    until(lambda: value("end") == "2 A")
    assert value("tau") == "10 ms"
    browser.find_element(By.CSS_SELECTOR, "#answers button[value=submit]").click()
    until(lambda: "/attempts/" in browser.current_url)
    browser.back()
    until(lambda: value("tau") == "10 ms")
    browser.refresh()
    until(lambda: value("tau") == "10 ms")
    browser.get(f"{server.address}/sheets/lock-gate")
    assert "Attempt 2" not in browser.find_element(By.CSS_SELECTOR, "section.card").text
    assert value("end") == "2 A"
    assert browser.find_elements(By.CSS_SELECTOR, ".faults") == []
    field("tau").clear()
    field("tau").send_keys("((")
    browser.find_element(By.CSS_SELECTOR, "#answers button[value=submit]").click()
    until(lambda: browser.find_elements(By.ID, "faults"))
    browser.get(f"{server.address}/sheets/lock-gate")
    browser.back()
    until(lambda: browser.find_elements(By.ID, "faults"))
    assert value("tau") == "(("


def test_hostile_answers_run_nothing(server, phone):
    from selenium.webdriver.common.by import By

    browser = phone()
    enter(browser, server, "S0003")
    browser.execute_script("window.name = 'calm'")
    for name, text in {
        "gate.before": "<script>window.name='struck'</script>", "gate.start": "\"><img src=x onerror=\"window.name='struck'\">",
        "gate.end": "<svg onload=window.name='struck'>", "gate.i": "</math><script>window.name='struck'</script>",
    }.items():  # fmt: skip
        browser.find_element(By.NAME, f"answer:{name}").send_keys(text)
    time.sleep(1.5)  # the live readings come
    browser.find_element(By.CSS_SELECTOR, "button[value=submit]").click()
    until(lambda: browser.find_element(By.CSS_SELECTOR, "button[value=insist]")).click()
    until(lambda: "/attempts/" in browser.current_url)
    assert browser.execute_script("return window.name") == "calm"
    assert "<script>" in browser.find_element(By.TAG_NAME, "main").text


def contrast(one, other):
    """Contrast ratio of two colours (WCAG 2.2, definitions of relative luminance and contrast ratio)."""

    def luminance(colour):
        parts = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
        red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


SEEN_COLOURS = """
const found = [];
for (const element of document.querySelectorAll("main *, header *, footer *")) {
  const own = [...element.childNodes].some(node => node.nodeType === 3 && node.textContent.trim());
  if (!own || element.closest("svg") || !element.offsetParent) continue;
  let behind = element;
  while (behind && getComputedStyle(behind).backgroundColor === "rgba(0, 0, 0, 0)") behind = behind.parentElement;
  found.push([getComputedStyle(element).color, behind ? getComputedStyle(behind).backgroundColor : "rgb(255, 255, 255)", element.tagName]);
}
return found;
"""


def test_every_text_has_enough_contrast_and_every_target_enough_size(server, phone):
    """WCAG 2.2, success criteria 1.4.3 (4.5:1) and 2.5.8 (24 by 24 CSS pixels)."""
    from selenium.webdriver.common.by import By

    browser = phone()
    enter(browser, server, "S0001")
    browser.find_element(By.NAME, "answer:gate.tau").send_keys("((")
    browser.find_element(By.NAME, "answer:gate.end").send_keys("2")
    browser.find_element(By.NAME, "answer:gate.rth").send_keys("9 ohm")
    browser.find_element(By.CSS_SELECTOR, "button[value=submit]").click()
    until(lambda: browser.find_element(By.ID, "faults"))
    pages = [browser.execute_script(SEEN_COLOURS)]
    browser.find_element(By.CSS_SELECTOR, "button[value=insist]").click()
    until(lambda: "/attempts/" in browser.current_url)
    pages.append(browser.execute_script(SEEN_COLOURS))
    for colours in pages:
        assert len(colours) > 20
        for ink, ground, tag in colours:
            assert contrast(ink, ground) >= 4.5, (ink, ground, tag)
    browser.get(server.address + "/sheets/lock-gate")
    for target in browser.find_elements(By.CSS_SELECTOR, "button, input:not([type=hidden]), summary"):
        if not target.is_displayed():  # folded away
            continue
        size = target.size
        label = target.find_element(By.XPATH, "..") if target.get_attribute("type") in {"radio", "checkbox"} else target
        assert max(size["height"], label.size["height"]) >= 24
        assert max(size["width"], label.size["width"]) >= 24
