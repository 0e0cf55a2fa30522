// Runs in a copy of the page: what sticks out of its box, and drawings whose writing is cut off.
addEventListener("load", () => {
  const found = [];
  const main = document.querySelector("main").getBoundingClientRect();
  const name = (e) => `${e.tagName.toLowerCase()}.${e.getAttribute("class") ?? ""} ` +
    `"${(e.textContent ?? "").trim().slice(0, 40)}"`;
  for (const e of document.querySelectorAll("main *")) {
    if (e.closest("svg") || e.tagName === "BDI") continue;
    const box = e.getBoundingClientRect();
    if (box.right > main.right + 1 || box.left < main.left - 1) found.push(`beside the page: ${name(e)}`);
    const inline = getComputedStyle(e).display.startsWith("inline");
    if (!inline && e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) found.push(`runs over: ${name(e)}`);
  }
  for (const cell of document.querySelectorAll(".pour, .stop, .piece, .two > *")) {
    const room = cell.getBoundingClientRect();
    for (const e of cell.querySelectorAll("*")) {
      if (e.closest("svg")) continue;
      const box = e.getBoundingClientRect();
      if (box.right > room.right + 1 || box.bottom > room.bottom + 1) found.push(`out of its box: ${name(e)}`);
    }
  }
  let words = 0;
  for (const svg of document.querySelectorAll("svg")) {
    const view = svg.viewBox.baseVal;
    for (const text of svg.querySelectorAll("text")) {
      words += 1;
      const box = text.getBBox();
      const out = Math.max(view.x - box.x, box.x + box.width - view.x - view.width,
        view.y - box.y, box.y + box.height - view.y - view.height);
      if (out > 0.3) found.push(`cut off in a drawing by ${out.toFixed(1)} mm: ${name(text)}`);
    }
  }
  const images = [...document.images].filter((i) => !i.complete || i.naturalWidth === 0).length;
  const report = { found, images, pictures: document.images.length, words };
  const out = document.createElement("pre");
  out.id = "measured";
  out.textContent = JSON.stringify(report);
  document.body.append(out);
});
