"""Bench sheets in a real browser: what it reports, what it asks for, what it prints."""

import html
import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
SAMPLES = ROOT / "sample-meshes"
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PROGRAM = TARGET / "release" / "cavigram"
VALIDATOR = HERE / ".validator" / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"
PAPERS = {"A4": "210mm 297mm", "Letter": "8.5in 11in"}
MOST_BYTES = 1_500_000
WIDTH_PX = 711  # 188 mm, the width of the printed page
# Every sample as its description has it, then plans that are hard to lay out. Each with the most
# pages it may take.
PLANS = {
    "kidney": (["kidney.stl"], 2),
    "kidney, three coats and clock times": (
        ["kidney.stl", "--unit", "mm", "--coats", "0.4mm,0.8mm,0.8mm", "--start", "2026-11-27 09:00"]
        + ["--hours", "08:00-18:00"],
        2,
    ),
    "shoulder": (["shoulder-mould-scan.ply", "--up", "rim", "--unit", "mm"], 2),
    "fingertip in inches": (["fingertip.stl", "--lengths", "in"], 2),
    "forearm": (["forearm-photo-scan.obj", "--known", "x=90mm"], 2),
    "heel": (["heel-leaning.stl"], 2),
    "injection pad": (["injection-pad-inch.stl", "--unit", "in"], 2),
    "palm": (["palm-pad.obj"], 2),
    "pebble": (["pebble.stl"], 2),
    "plaque": (["plaque.stl"], 2),
    "two impressions": (["two-impressions.stl", "--as", "mould", "--impression", "all"], 2),
    "two lobes": (["two-lobes.stl"], 2),
    "no skin": (["kidney.stl", "--skin", "0", "--cap", "0"], 2),
    "three coats": (
        ["shoulder-mould-scan.ply", "--up", "rim", "--unit", "mm", "--coats", "0.4mm,0.8mm,0.8mm"],
        2,
    ),
    "parted": (["pebble.stl", "--unit", "mm", "--parting", "15mm", "--gate", "8mmx40mm"], 2),
    "parted, three coats": (
        ["pebble.stl", "--unit", "mm", "--parting", "15mm", "--gate", "8mmx40mm"]
        + ["--coats", "0.4mm,0.8mm,0.8mm"],
        2,
    ),
    "forty batches": (["kidney.stl", "--known", "x=300mm", "--cup", "80ml"], 2),
    "two hundred batches": (["kidney.stl", "--known", "x=300mm", "--cup", "15ml"], 2),
    "sixty kilograms": (["kidney.stl", "--known", "x=900mm", "--cup", "5l"], 2),
    "a whole day of castings": (["kidney.stl", "--castings", "7", "--moulds", "2"], 3),
}
LONG = "a-very-long-name-" * 12 + "שם-ארוך.stl"


def chromium(folder, *line):
    """Runs the browser with a fresh profile; its messages come back as text."""
    quiet = ["--no-first-run", "--disable-background-networking", "--disable-component-update"]
    quiet += ["--disable-sync", "--disable-quic", "--disable-gpu", "--no-sandbox"]
    profile = tempfile.mkdtemp(dir=folder)
    command = ["chromium", "--headless", *quiet, f"--user-data-dir={profile}", *map(str, line)]
    done = subprocess.run(command, capture_output=True, timeout=120)
    return done.stdout.decode(errors="replace"), done.stderr.decode(errors="replace")


class Check:
    """Counts what was looked at and prints what is wrong."""

    def __init__(self):
        self.passed = 0
        self.failed = 0

    def expect(self, fine, what):
        if fine:
            self.passed += 1
        else:
            self.failed += 1
            print(f"WRONG {what}")


def measured(folder, page):
    """What the measuring script says of a copy of the page, and what the browser logs."""
    copy = folder / "measured.html"
    script = f"<script>{(HERE / 'measure.js').read_text()}</script></body>"
    copy.write_text(page.replace("</body>", script, 1))
    net = folder / "net.json"
    line = [f"--window-size={WIDTH_PX + 30},1200", "--virtual-time-budget=4000", "--dump-dom"]
    log = ["--enable-logging=stderr", f"--log-net-log={net}", f"file://{copy}"]
    dom, said = chromium(folder, *line, *log)
    found = re.search(r'<pre id="measured">(.*?)</pre>', dom, re.S)
    return json.loads(html.unescape(found.group(1))) if found else None, said, net


def requests(net):
    """Addresses that the page asked for. The browser's own requests have no page as their origin."""
    text = net.read_text(errors="replace") if net.exists() else ""
    return sorted(set(re.findall(r"_dk_file:// file:// ([^\"]+)", text)))


def printed(folder, page, paper):
    """The number of pages on a paper, and the text that was printed."""
    copy = folder / "printed.html"
    copy.write_text(page.replace("@page {", f"@page {{ size: {PAPERS[paper]};", 1))
    pdf = folder / "printed.pdf"
    pdf.unlink(missing_ok=True)
    chromium(folder, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", f"file://{copy}")
    facts = subprocess.run(["pdfinfo", pdf], check=True, capture_output=True, text=True).stdout
    text = subprocess.run(["pdftotext", pdf, "-"], check=True, capture_output=True, text=True).stdout
    return int(re.search(r"Pages:\s+(\d+)", facts).group(1)), text


def control(check, folder):
    """A page that does what none may do: the check must see it."""
    bad = """<!DOCTYPE html><html lang="en"><title>x</title><body><main>
        <img src="http://127.0.0.1:9/x.png" alt=""><script>console.error("seen")</script>
        <p style="width: 5000px">wide</p></main></body></html>"""
    report, said, net = measured(folder, bad)
    check.expect(requests(net) == ["http://127.0.0.1:9/x.png"], f"control: {requests(net)}")
    check.expect(any("CONSOLE" in row for row in said.splitlines()), "control: no console")
    check.expect(report and report["found"] and report["images"] == 1, f"control: {report}")


def look(check, folder, name, mesh, options, most_pages):
    """All checks of one plan."""
    sheet = folder / "bench.html"
    sheet.unlink(missing_ok=True)
    kept = folder / "valid"
    kept.mkdir(exist_ok=True)
    number = len(list(kept.glob("*.svg")))
    line = [PROGRAM, "plan", mesh, *options, "--sheet", sheet, "--json"]
    line += ["--section", kept / f"{number}.svg"]
    done = subprocess.run(line, capture_output=True)
    check.expect(done.returncode == 0, f"{name}: {done.stderr.decode()}")
    if done.returncode:
        return
    plan = json.loads(done.stdout)
    page = sheet.read_text()
    (kept / f"{number}.html").write_text(page)
    check.expect(len(page.encode()) < MOST_BYTES, f"{name}: {len(page.encode())} bytes")
    report, said, net = measured(folder, page)
    check.expect(report is not None, f"{name}: the page was not laid out")
    if report:
        check.expect(not report["found"], f"{name}: {report['found'][:5]}")
        check.expect(report["images"] == 0 and report["pictures"] >= 3, f"{name}: {report}")
        check.expect(report["words"] >= 3, f"{name}: drawings without writing")
    console = [row for row in said.splitlines() if "CONSOLE" in row]
    check.expect(not console, f"{name}: {console[:3]}")
    check.expect(net.exists(), f"{name}: no record of requests")
    check.expect(not requests(net), f"{name}: asked for {requests(net)[:3]}")
    pages = {}
    for paper in PAPERS:
        pages[paper], text = printed(folder, page, paper)
        check.expect(pages[paper] <= most_pages, f"{name}: {pages[paper]} pages of {paper}")
        for layer in plan["layers"]:
            for component in layer["components"]:
                if not layer.get("coats") and layer.get("batches", 1) == 1:
                    grams = f"{component['grams']:.1f}"
                    check.expect(grams in text, f"{name}: {grams} g isn't printed on {paper}")
        check.expect("decimal point" in text, f"{name}: the last line isn't printed on {paper}")
    print(f"{name}: {pages['A4']} pages of A4, {pages['Letter']} of Letter, {len(page) // 1024} KiB")


def validate(check, kept):
    """Pages and drawings as the validator reads them."""
    for kind in ("html", "svg"):
        files = sorted(kept.glob(f"*.{kind}"))
        line = ["java", "-jar", VALIDATOR, "--format", "json", *(["--svg"] if kind == "svg" else [])]
        done = subprocess.run([*line, *files], capture_output=True, text=True)
        messages = json.loads(done.stderr)["messages"] if done.stderr.strip() else []
        told = {m["message"] for m in messages if m["type"] == "error"}
        check.expect(files and done.returncode == 0 and not told, f"{kind}: {sorted(told)[:5]}")


def main():
    check = Check()
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        control(check, folder)
        chosen = sys.argv[1:] or PLANS
        for name in chosen:
            (mesh, *options), most_pages = PLANS[name]
            look(check, folder, name, SAMPLES / mesh, options, most_pages)
        if not sys.argv[1:]:
            long = folder / LONG.encode()[:240].decode(errors="ignore")
            long.write_bytes((SAMPLES / "pebble.stl").read_bytes())
            look(check, folder, "a long name", long, [], 2)
        validate(check, folder / "valid")
    print(f"{check.passed} passed, {check.failed} failed")
    sys.exit(1 if check.failed else 0)


if __name__ == "__main__":
    main()
