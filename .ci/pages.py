"""Looks at every page of a folder in Chromium, as wide as a phone and as a desk.

    python3 pages.py CHROMIUM FOLDER PICTURES

Fails where a page is wider than its window, and where a sheet of one page takes two on A4 or Letter. Pictures of the whole pages go to PICTURES. Each page
stands in a frame of the asked width, because a browser's own window cannot be made as narrow as a
phone; the frame's content is its text (`srcdoc`), so that the frame around it may measure it.
"""

import html
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

WIDTHS_PX = [390, 1280]
TALLEST_PX = 16_000
# Pages that are one printed sheet, and the papers that they are printed on.
ONE_SHEET = ("owner", "certificate")
PAPERS = ["A4", "Letter"]

FRAME = """<!doctype html><meta charset="utf-8"><title>frame</title>
<style>body {{ margin: 0 }} iframe {{ border: 0; display: block; width: {width}px; height: {height}px }}</style>
<iframe srcdoc="{page}"></iframe><pre id="said" hidden></pre>
<script>
const frame = document.querySelector("iframe");
frame.addEventListener("load", () => {{
  const page = frame.contentDocument, root = page.documentElement, inside = frame.contentWindow.innerWidth;
  const wide = [...page.querySelectorAll("body *")]
    .filter((e) => e.getBoundingClientRect().right > inside + 0.5)
    .map((e) => e.tagName.toLowerCase() + (e.id ? "#" + e.id : "") + (e.classList.length ? "." + e.classList[0] : ""));
  const said = {{ width: root.scrollWidth, window: inside, height: root.scrollHeight, wide: wide.slice(0, 5) }};
  document.getElementById("said").textContent = JSON.stringify(said);
}});
</script>
"""


def chromium(program, profile, *options):
    """Runs the browser once; its standard output."""
    words = [program, "--headless", "--disable-gpu", "--hide-scrollbars", "--disable-dev-shm-usage"]
    if os.geteuid() == 0:
        words.append("--no-sandbox")
    words += [f"--user-data-dir={profile}", "--no-first-run", "--virtual-time-budget=5000", *options]
    done = subprocess.run(words, capture_output=True, text=True, timeout=120)
    if done.returncode != 0:
        sys.exit(f"{program} failed: {done.stderr[-2000:]}")
    return done.stdout


def look(program, scratch, page, width, picture):
    """What the page measures in a window of `width`; takes a picture of its whole height."""
    frame = scratch / "frame.html"
    profile = scratch / "profile"
    text = html.escape(page.read_text(encoding="utf-8"), quote=True)

    def write(height):
        frame.write_text(FRAME.format(width=width, height=height, page=text), encoding="utf-8")

    write(900)
    # Wider than the frame, so that what is measured is the frame and not the window.
    window = width + 200
    dom = chromium(program, profile, f"--window-size={window},1000", "--dump-dom", frame.as_uri())
    said = re.search(r'<pre id="said" hidden="">(.*?)</pre>', dom, re.S)
    if not said or not said.group(1):
        sys.exit(f"{page.name} at {width} px: the page did not load")
    said = json.loads(html.unescape(said.group(1)))
    height = min(said["height"], TALLEST_PX)
    write(height)
    chromium(program, profile, f"--window-size={max(width, 500)},{height}", f"--screenshot={picture}", frame.as_uri())
    return said


def sheets(program, scratch, page, paper, pdf):
    """How many sheets of a paper the page takes, and the print itself as `pdf`."""
    text = page.read_text(encoding="utf-8")
    # The printer's paper is the reader's choice; here it is named.
    text = text.replace("</head>", f"<style>@page{{size:{paper}}}</style></head>", 1)
    printed = scratch / "printed.html"
    printed.write_text(text, encoding="utf-8")
    chromium(program, scratch / "profile", "--no-pdf-header-footer", f"--print-to-pdf={pdf}", printed.as_uri())
    return len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes()))


def main(program, folder, pictures):
    pages = sorted(pathlib.Path(folder).rglob("*.html"))
    if not pages:
        sys.exit(f"no page below {folder}")
    pictures = pathlib.Path(pictures).resolve()
    pictures.mkdir(parents=True, exist_ok=True)
    wrong = []
    with tempfile.TemporaryDirectory() as scratch:
        for page in pages:
            for width in WIDTHS_PX:
                picture = pictures / f"{page.stem}-{width}.png"
                said = look(program, pathlib.Path(scratch), page, width, picture)
                print(f"{page.name} in {width} px: {said['width']} px wide, {said['height']} px high")
                if said["width"] > said["window"]:
                    wrong.append(f"{page.name} is {said['width']} px wide in {width} px: {said['wide']}")
                if not picture.exists():
                    wrong.append(f"{picture}: no picture")
            if page.stem.startswith(ONE_SHEET):
                for paper in PAPERS:
                    pdf = pictures / f"{page.stem}-{paper}.pdf"
                    count = sheets(program, pathlib.Path(scratch), page, paper, pdf)
                    print(f"{page.name} on {paper}: {count} printed")
                    if count != 1:
                        wrong.append(f"{page.name} takes {count} sheets of {paper}")
    if wrong:
        sys.exit("\n".join(wrong))


if __name__ == "__main__":
    main(*sys.argv[1:])
