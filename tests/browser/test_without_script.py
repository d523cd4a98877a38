"""With script switched off every page says the same, and shows no control that would need one."""

import pytest

from browser.kinds import BUILDS

#: The words a person can come to read: all that is shown once every fold is open, and nothing of what script alone makes.
WORDS = """() => {
  document.querySelectorAll('details').forEach((one) => { one.open = true; });
  document.querySelectorAll('form, output, [role=status], script, .what-if').forEach((one) => one.remove());
  return document.body.innerText.split(/\\s+/).filter(Boolean).sort();
}"""
WORKED = (
    "[...document.querySelectorAll('button, input, select, textarea, output')].filter((one) => one.checkVisibility()).length"
)


@pytest.mark.parametrize("kind", BUILDS)
def test_without_script_all_text_is_there_and_no_dead_control(kind, opened, page_of):
    still, live = opened(page_of(kind), script=False), opened(page_of(kind))
    assert still.evaluate(WORKED) == 0
    assert still.evaluate(WORDS) == live.evaluate(WORDS)


def test_the_clubs_controls_are_there_with_script(opened, page_of):
    assert opened(page_of("club")).evaluate(WORKED) == 6  # two to sift by, four columns to sort by


def test_script_is_really_off(opened):
    page = "<!doctype html><p id=x>still<script>document.getElementById('x').textContent = 'moved'</script>"
    assert [opened(page, script=on).inner_text("p") for on in (False, True)] == ["still", "moved"]
