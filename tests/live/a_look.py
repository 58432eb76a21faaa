"""How tests in a browser look at a page: axe, what sticks out, where the focus is; pictures if asked for."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
KEPT = os.environ.get("RAMSTILL_SCREENSHOTS", "")  # a folder to keep pictures of every state in

# What has the focus: who it is, whether its ring is seen, and whether it is in sight with nothing over its
# middle, once the page has been scrolled to it, which takes some frames.
FOCUS = """async () => {
  const e = document.activeElement, style = getComputedStyle(e);
  const seen = () => {
    const box = e.getBoundingClientRect();
    const at = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
    const own = at !== null && (e.contains(at) || at.contains(e));
    return own || [...(e.labels ?? [])].some((one) => one.contains(at));
  };
  for (let frames = 0; frames < 60 && !seen(); frames += 1) await new Promise(requestAnimationFrame);
  return { tag: e.tagName, name: (e.getAttribute("aria-label") || e.id || e.textContent.trim()).slice(0, 60),
    ring: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2, inSight: seen() };
}"""


# Cells of tables so narrow that their words are broken into letters.
SQUEEZED = """() => [...document.querySelectorAll("td, th")]
  .filter((cell) => cell.checkVisibility() && cell.clientHeight > 8 * cell.clientWidth)
  .map((cell) => cell.innerText.trim()).filter((words) => words.length > 2)"""


def look(tab: Any, name: str, whole: bool = True) -> None:
    """Nothing for axe to find, nothing that sticks out or is squeezed; a picture where they are kept."""
    from axe_playwright_python.sync_playwright import Axe

    options = {"runOnly": {"type": "tag", "values": AXE_TAGS}, "rules": {"target-size": {"enabled": True}}}
    found = Axe().run(tab, options=options)
    if KEPT:
        Path(KEPT).mkdir(parents=True, exist_ok=True)
        tab.screenshot(path=str(Path(KEPT) / f"{name}.png"), full_page=whole)
    assert found.violations_count == 0, f"{name}: {found.generate_report()}"
    assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
    assert tab.evaluate(SQUEEZED) == [], name


def focus(tab: Any) -> dict[str, Any]:
    """What has the focus."""
    found: dict[str, Any] = tab.evaluate(FOCUS)
    return found


def tab_to(tab: Any, name: str, most: int = 200) -> None:
    """Press Tab until something of that name has the focus; it shows that it has it."""
    for _ in range(most):
        tab.keyboard.press("Tab")
        there = focus(tab)
        if there["name"] == name:
            assert there["ring"], f"no ring at {name}"
            assert there["inSight"], f"{name} is out of sight"
            return
    raise AssertionError(f"Tab never comes to {name}")
