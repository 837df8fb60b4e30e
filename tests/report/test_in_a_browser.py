"""The HTML in a real browser: nothing is cut, in narrow and wide windows, dark and printed."""

import html
import io
import json
import re
import shutil
import subprocess

import pytest
from pypdf import PdfReader

from airrisk.report.content import units_for
from airrisk.report.html import render_html
from airrisk.report.short_report import build_whole_report
from tests.samples.answers import sample_answer, sample_installation

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
WIDTHS = (360, 800, 1280)
pytestmark = pytest.mark.skipif(BROWSER is None, reason="Chromium is not installed")

# Frames of the page in several widths; what is wider than its frame and cannot be scrolled to
PROBE = """<!DOCTYPE html><meta charset="utf-8"><body>%s<pre id="told"></pre><script>
window.addEventListener("load", () => {
  const told = {};
  for (const frame of document.querySelectorAll("iframe")) {
    const page = frame.contentDocument, view = page.defaultView;
    const wide = page.documentElement.clientWidth;
    const cut = [];
    for (const one of page.body.querySelectorAll("*")) {
      if (one.closest("svg") && one.tagName !== "svg" || one.className === "skip") continue;
      if (one.getBoundingClientRect().right <= wide + 1) continue;
      let box = one.parentElement, reached = false;
      while (box && !reached) {
        reached = ["auto", "scroll"].includes(view.getComputedStyle(box).overflowX)
          && box.getBoundingClientRect().right <= wide + 1;
        box = box.parentElement;
      }
      if (!reached) cut.push(one.tagName + " " + one.textContent.slice(0, 60));
    }
    const style = view.getComputedStyle(page.body);
    told[frame.width] = {
      scrolls: page.documentElement.scrollWidth - wide, cut: cut.slice(0, 5),
      ink: style.color, paper: style.backgroundColor,
      landmarks: ["header", "nav", "main", "footer"].filter((one) => page.querySelector(one)),
    };
  }
  document.getElementById("told").textContent = JSON.stringify(told);
});
</script>"""


@pytest.fixture(scope="module")
def page() -> str:
    installation = sample_installation("school-laboratory")
    report = build_whole_report(sample_answer("school-laboratory"), installation)
    return render_html(report, units_for(installation))


def browse(tmp_path, *words: str) -> str:
    """What the browser prints."""
    assert BROWSER is not None
    command = [
        BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
        f"--user-data-dir={tmp_path / 'profile'}", *words,
    ]  # fmt: skip
    done = subprocess.run(command, capture_output=True, check=False, timeout=120)
    return done.stdout.decode("utf-8", "replace")


def seen(page: str, tmp_path, *words: str) -> dict:
    frames = "".join(
        f'<iframe width="{width}" height="900" srcdoc="{html.escape(page)}"></iframe>'
        for width in WIDTHS
    )
    probe = tmp_path / "probe.html"
    probe.write_text(PROBE % frames, encoding="utf-8")
    told = browse(tmp_path, *words, "--dump-dom", probe.as_uri())
    found = re.search(r'<pre id="told">(.*?)</pre>', told, re.DOTALL)
    assert found is not None, told[-500:]
    answer: dict = json.loads(html.unescape(found.group(1)))
    return answer


def lightness(colour: str) -> float:
    return sum(float(one) for one in re.findall(r"[\d.]+", colour)[:3]) / 3


def test_nothing_is_cut_from_the_width_of_a_telephone_on(page, tmp_path):
    for width, found in seen(page, tmp_path).items():
        assert found["cut"] == [], width
        assert found["scrolls"] <= 0, width
        assert found["landmarks"] == ["header", "nav", "main", "footer"]
        assert lightness(found["paper"]) > lightness(found["ink"]) + 150


def test_who_wants_it_dark_gets_light_letters_on_dark(page, tmp_path):
    for found in seen(page, tmp_path, "--blink-settings=preferredColorScheme=0").values():
        assert lightness(found["paper"]) < lightness(found["ink"]) - 150
        assert found["cut"] == []


def test_it_prints_with_all_columns(page, tmp_path):
    source, target = tmp_path / "page.html", tmp_path / "page.pdf"
    source.write_text(page, encoding="utf-8")
    browse(tmp_path, f"--print-to-pdf={target}", "--no-pdf-header-footer", source.as_uri())
    text = "".join(one.extract_text() for one in PdfReader(io.BytesIO(target.read_bytes())).pages)
    assert "\ufb01" not in text
    squeezed = re.sub(r"\s+", "", text)
    for head in re.findall(r'<th scope="col"[^>]*>([^<]+)</th>', page):
        assert re.sub(r"\s+", "", html.unescape(head)) in squeezed, head
