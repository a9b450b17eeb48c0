/* Labels that can be read from the back of a room: where the picture is small, its volts, names and states are set
   larger than drawn, each where it is free of symbols, of other labels and, if it can be, of leads; what finds no
   room is left out until the picture is larger. Nothing moves that is drawn large enough. */
const makeLabels = (leadNames) => {
  /* letters over their size: capitals and digits above the baseline, tails under it (DejaVu Sans) */
  const UP = 0.76, DOWN = 0.22;
  const pen = document.createElement("canvas").getContext("2d"), known = new Map();
  const widthOf = (words, bold) => {
    const key = `${bold}${words}`;
    if (!known.has(key)) { pen.font = `${bold ? 700 : 400} 100px 'Ohmtrail Sans','DejaVu Sans',sans-serif`; known.set(key, pen.measureText(words).width / 100); }
    return known.get(key);
  };
  const apart = (p, q, gap) => p[2] + gap <= q[0] || q[2] + gap <= p[0] || p[3] <= q[1] || q[3] <= p[1];
  const roleOf = (text) => {
    const [slot] = (text.dataset.slot ?? "").split(" "), list = text.classList;
    if (text.closest(".place")) { return list.contains("b") ? "place" : "note"; }
    if (slot) { return slot === "value" ? "state" : slot; }
    return list.contains("id") ? (leadNames.has(text.textContent) ? "lead" : "name") : list.contains("mut") ? "note" : "pin";
  };
  const number = (node, name) => Number(node.getAttribute(name));
  const boxOf = (rect) => { const [x, y, w, h] = ["x", "y", "width", "height"].map((name) => number(rect, name)); return [x, y, x + w, y + h]; };

  /* what a picture holds, read once */
  const gather = (svg) => {
    const lines = new Map(), boxes = [...svg.querySelectorAll("[data-box]")].map((one) => one.dataset.box.split(" ").map(Number));
    svg.querySelectorAll(".lead").forEach((group) => {
      const spots = group.querySelector("path").getAttribute("d").slice(1).split("L").map((pair) => pair.trim().split(/[ ,]+/).map(Number));
      lines.set(group.dataset.id, spots.slice(1).map((spot, i) => [...spots[i], ...spot]));
    });
    const view = svg.viewBox.baseVal, labels = [];
    let name = null, lead = null, group = null, head = null;
    svg.querySelectorAll("text").forEach((text) => {
      text.removeAttribute("textLength"); text.removeAttribute("lengthAdjust");
      const role = roleOf(text), owner = text.closest(".part,.place");
      const label = { text, role, x: number(text, "x"), y: number(text, "y"), size: number(text, "font-size"), anchor: text.getAttribute("text-anchor") ?? "start", bold: text.classList.contains("b"), words: text.textContent };
      if (owner !== group) { group = owner; name = null; lead = null; }
      if (role === "amps" && lead) { label.by = lead; lead.by = label; }
      if (role === "state") { label.by = name; }
      if (role === "name") { name = label; label.symbols = [...owner.querySelectorAll("[data-box]")].map((one) => one.dataset.box.split(" ").map(Number)); }
      if (role === "lead") { lead = label; }
      label.line = role === "volts" || role === "amps" ? lines.get(text.dataset.slot.split(" ")[1]) : role === "lead" ? lines.get(label.words) : null;
      if (role === "place") { label.band = boxOf(owner.querySelector("rect")); head = label; }
      if (role === "note" && owner?.classList.contains("place")) { label.head = head; }
      labels.push(label);
    });
    return { labels, boxes, lines: [...lines.values()].flat(), view: [view.x, view.y, view.x + view.width, view.y + view.height] };
  };

  const boxAt = (label, [x, y, anchor], size) => {
    const wide = widthOf(label.words, label.bold) * size, left = x - { start: 0, middle: 0.5, end: 1 }[anchor] * wide;
    return [left, y - UP * size, left + wide, y + DOWN * size];
  };
  /* places for a label of a larger size, best first */
  const alongLine = (label, size) => label.line.flatMap(([x1, y1, x2, y2]) => {
    const at = [0.5, 0.2, 0.8, 0.35, 0.65].map((part) => [x1 + part * (x2 - x1), y1 + part * (y2 - y1)]), gap = 0.35 * size + 5, mid = 0.27 * size;
    return Math.abs(x2 - x1) < Math.abs(y2 - y1)
      ? at.flatMap(([x, y]) => [[x - gap, y + mid, "end"], [x + gap, y + mid, "start"]])
      : [...at.map(([x, y]) => [x, y - DOWN * size - 7, "middle"]), ...at.map(([x, y]) => [x, y + UP * size + 8, "middle"])];
  });
  const spots = (label, size) => {
    const here = [label.x, label.y, label.anchor], by = label.by?.put;
    const beside = by ? [[by.box[2] + 0.45 * size, by.y, "start"], [by.box[0], by.box[3] + UP * size + 1, "start"], [by.box[0] - 0.45 * size, by.y, "end"]] : [];
    const moved = [0, 0.35, -0.35, 0.8, -0.8, 1.2, -1.2].map((part) => [label.x, label.y + part * size, label.anchor]);
    if (label.role === "name") {
      return [...moved, ...label.symbols.flatMap(([left, top, right, bottom]) => [[left - 6, (top + bottom) / 2 + 0.27 * size, "end"], [right + 6, (top + bottom) / 2 + 0.27 * size, "start"], [(left + right) / 2, bottom + UP * size + 4, "middle"], [(left + right) / 2, top - DOWN * size - 4, "middle"]])];
    }
    if (label.role === "state") { return [here, ...beside]; }
    if (label.role === "amps") { return [label.by ? [label.by.x, label.by.y, label.by.anchor] : here, ...alongLine(label, size)]; }
    if (label.role === "lead") { return [...moved, ...beside, ...alongLine(label, size)]; }
    return label.line ? [...moved, ...alongLine(label, size)] : moved;
  };

  /* which come first, and which may lie across a lead rather than be left out */
  const ORDER = ["place", "name", "volts", "state", "amps", "lead", "pin", "note"], ACROSS = new Set(["name", "volts"]);
  /* a whole machine drawn this many times smaller than it is read is looked at for its leads: none is covered */
  const OVERVIEW = 5;

  const settle = (gathered, wanted, k, spare) => {
    const { labels, boxes, lines, view } = gathered, taken = [...boxes];
    const crossed = (box) => lines.filter(([x1, y1, x2, y2]) => Math.min(x1, x2) - 4 < box[2] && Math.max(x1, x2) + 4 > box[0] && Math.min(y1, y2) - 4 < box[3] && Math.max(y1, y2) + 4 > box[1]).length;
    const hidden = (label) => { label.put = null; label.text.style.display = "none"; };
    const put = (label, [x, y, anchor], size, box, cost = 0) => {
      const { text } = label;
      text.classList.toggle("across", cost > 0);
      label.put = { x, y, box }; taken.push(box);
      text.setAttribute("x", x); text.setAttribute("y", y); text.setAttribute("text-anchor", anchor); text.setAttribute("font-size", size); text.style.display = "";
    };
    const find = (label, size, mayCross) => {
      let best = null;
      for (const spot of spots(label, size)) {
        const box = boxAt(label, spot, size);
        if (box[0] < view[0] - spare || box[1] < view[1] || box[2] > view[2] + spare || box[3] > view[3]) { continue; }
        if (taken.some((other, i) => !apart(box, other, i < boxes.length ? 2 : 0.2 * size))) { continue; }
        const cost = crossed(box);
        if (!cost) { return { spot, size, box, cost }; }
        if (mayCross && (!best || cost < best.cost)) { best = { spot, size, box, cost }; }
      }
      return best;
    };
    const heading = (label, size) => {
      const lines_ = [], room = label.band[2] - label.band[0] - 14;
      label.words.split(" ").forEach((word) => {
        const longer = lines_.length ? `${lines_[lines_.length - 1]} ${word}` : word;
        if (lines_.length && widthOf(longer, true) * size <= room) { lines_[lines_.length - 1] = longer; } else { lines_.push(word); }
      });
      const wide = Math.max(...lines_.map((line) => widthOf(line, true) * size)), y = label.band[1] + 6 + UP * size, x = label.band[0] + 8;
      return { lines: lines_, fits: wide <= room, spot: [x, y, "start"], box: [x, y - UP * size, x + wide, y + (lines_.length - 1) * 1.1 * size + DOWN * size] };
    };
    labels.forEach((label) => { label.words = label.role === "place" ? label.words : label.text.textContent; label.put = null; });
    ORDER.forEach((role) => labels.filter((label) => label.role === role).forEach((label) => {
      if (!label.words) { return; }
      /* what stands under a heading goes with it: a heading that is set larger takes its room */
      if (role === "note" && (wanted.note > label.size * k || label.head?.grown)) { hidden(label); return; }
      const want = (wanted[role] ?? 0) / k, size = Math.max(want, label.size), natural = boxAt(label, [label.x, label.y, label.anchor], label.size);
      if (role === "place") {
        const tried = [1, 0.85, 0.7].map((part) => Math.max(label.size, part * want)).map((one) => ({ one, ...heading(label, one) }));
        const fit = tried.find((one) => one.fits && taken.every((other) => apart(one.box, other, 0))) ?? (want > OVERVIEW * label.size ? null : tried[tried.length - 1]);
        label.grown = !fit || fit.one > label.size;
        if (!fit) { hidden(label); return; }
        put(label, fit.spot, fit.one, fit.box);
        label.text.replaceChildren(...fit.lines.map((words, i) => { const span = document.createElementNS("http://www.w3.org/2000/svg", "tspan"); span.setAttribute("x", fit.spot[0]); span.setAttribute("dy", i ? 1.1 * fit.one : 0); span.textContent = words; return span; }));
        return;
      }
      if (size === label.size && taken.slice(boxes.length).every((other) => apart(natural, other, 0))) { put(label, [label.x, label.y, label.anchor], size, natural); return; }
      const sizes = { name: [size, Math.max(0.85 * size, label.size), label.size], volts: [size, Math.max(0.95 * size, label.size)] }[role] ?? [size];
      const found = sizes.reduce((best, one) => best ?? find(label, one, ACROSS.has(role) && size < OVERVIEW * label.size), null);
      if (found) { put(label, found.spot, found.size, found.box, found.cost); } else { hidden(label); }
    }));
  };
  return { gather, settle, forget: () => known.clear() };
};
