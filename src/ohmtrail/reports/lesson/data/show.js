/* The page: switches as controls, what every lead carries, walks, faults and a meter. Solves nothing itself. */
(() => {
  const $ = (id) => document.getElementById(id);
  const make = (tag, more = {}, ...inside) => { const node = Object.assign(document.createElement(tag), more); node.append(...inside); return node; };
  const draw = (tag, more) => { const node = document.createElementNS("http://www.w3.org/2000/svg", tag); Object.entries(more).forEach(([key, value]) => node.setAttribute(key, value)); return node; };
  const data = JSON.parse($("data").textContent), circuit = makeCircuit(data), sound = circuit.machine(), meter = makeMeter(data, circuit);
  const node = new Map(data.nodes.map((name, i) => [name, i])), branch = new Map(data.branches.map((b, i) => [b.id, i]));
  node.set("frame", -1);
  const byId = new Map(data.functions.map((f) => [f.id, f])), at = (point) => node.get(point);
  const state = { setting: { positions: {}, engine: "still", battery: data.battery }, fault: null, moved: "", broken: sound, machine: sound, shown: "", way: 0, step: -1, red: "", black: "", range: "volts" };

  /* ---- words and figures ---- */
  const digits = (value) => { const size = Math.abs(value); return size < 0.005 ? "0" : size >= 99.95 ? value.toFixed(0) : size >= 9.995 ? value.toFixed(1) : value.toFixed(2); };
  const minus = (text) => text.replace("-", "−");
  const volts = (value, regime = "dc") => `${minus(digits(value))} V${{ dc: "", ac: " ~", pulse: " pk" }[regime]}`;
  const milli = (value) => value >= 0.9995 ? `${digits(value)} A` : `${value < 0.0995 ? +(value * 1000).toPrecision(2) : Math.round(value * 100) * 10} mA`;
  const ohms = (value) => {
    for (const [size, letter] of [[1e6, "M"], [1e3, "k"]]) { if (value >= size) { return `${digits(value / size)} ${letter}Ω`; } }
    return `${digits(value)} Ω`;
  };
  /* the fault that is out as things stand: one that comes and goes is out while its wiring is moved */
  const acting = () => state.fault && (!state.fault.moves || state.fault.moves === state.moved) ? state.fault : null;
  const wavers = () => Boolean(acting()?.moves);
  const named = (point) => point === "frame" ? "frame" : point;
  const SIGN = ["✕", "◐", "●"], LEVEL = ["out", "weak", "works"];

  /* ---- the electrical state of leads ---- */
  const regimes = () => state.setting.engine === "still" ? ["dc"] : ["dc", ...(data.branches.some((b) => b.kind === "winding") ? ["ac"] : []), ...(data.branches.some((b) => b.kind === "delivers") ? ["pulse"] : [])];
  const runs = () => Object.fromEntries(regimes().map((regime) => [regime, state.machine.solved(regime, state.setting)]));
  const potential = (run, n) => n < 0 ? 0 : run.regime === "ac" ? Math.hypot(run.vr[n], run.vi[n]) : run.vr[n];
  const flow = (run, i) => Math.hypot(run.amps[i], run.ampsIm[i]);
  const joined = () => {
    const next = new Map(), add = (a, b) => { if (!next.has(a)) { next.set(a, []); } next.get(a).push(b); };
    const { pulled } = state.machine.solved("dc", state.setting), gone = state.machine.killed;
    data.branches.forEach((b, i) => {
      if (["insulation", "charger", "uptake"].includes(b.kind) || gone.has(i)) { return; }
      if (b.kind === "switch" && !b.positions?.includes(circuit.positionOf(state.setting, b.owner))) { return; }
      if (b.kind === "relay-contact" && !pulled.has(i)) { return; }
      if (b.kind === "battery" && !state.setting.battery) { return; }
      add(b.a, b.b); add(b.b, b.a);
    });
    (acting()?.changes ?? []).forEach((c) => { if (c.mode === 2) { add(c.a, c.b); add(c.b, c.a); } });
    const seen = new Set([-1]), left = [-1];
    while (left.length) { for (const other of next.get(left.pop()) ?? []) { if (!seen.has(other)) { seen.add(other); left.push(other); } } }
    return seen;
  };
  const leadState = (lead, all, seen) => {
    const from = at(`${lead}.from`), to = at(`${lead}.to`);
    if (!seen.has(from) && !seen.has(to)) { return { kind: "floating" }; }
    let best = null;
    for (const [regime, run] of Object.entries(all)) {
      const ends = [potential(run, from), potential(run, to)], much = Math.max(...ends.map(Math.abs)) / data.bounds.live_v[regime];
      if (!best || much > best.much) { best = { regime, ends, much }; }
    }
    const current = Math.max(0, ...Object.values(all).filter((run) => run.regime !== "pulse").map((run) => flow(run, branch.get(lead))));
    return { kind: best.much >= 1 ? "live" : "dead", ends: best.ends, regime: best.regime, amps: current };
  };

  /* ---- the picture ---- */
  const view = $("view"), pictures = new Map();
  let svg = null, size = { w: 1, h: 1, x: 0, y: 0 }, pane = { x: 0, y: 0, k: 1 }, over = null, points = {};
  /* marks stay as large on the screen as they are at full size, however small the picture */
  const markScale = () => Math.min(2.6, Math.max(1, 1 / pane.k));
  const labels = makeLabels(new Set(Object.keys(data.leads)));
  let gathered = null, settledAt = 0;
  /* letters on the screen, px, of a hundredth of the window's width; a ladder is drawn as large as it is read */
  const settle = () => {
    if (size.w < 400) { return; }
    const unit = Math.max(14, window.innerWidth / 100) * (document.documentElement.classList.contains("large") ? 1.2 : 1);
    labels.settle(gathered, { volts: unit, name: 0.95 * unit, state: 0.85 * unit, amps: 0.85 * unit, place: 0.85 * unit, lead: Math.max(0.75 * unit, 12), pin: Math.max(0.7 * unit, 11), note: Math.max(0.65 * unit, 9) }, pane.k, Math.max(0, (view.clientWidth / pane.k - size.w) / 2));
    svg.style.setProperty("--bold", String(Math.min(2.4, Math.max(1, unit / 17 / pane.k))));
    settledAt = pane.k;
  };
  const place = () => {
    svg.style.transform = `translate(${pane.x}px,${pane.y}px) scale(${pane.k})`;
    if (pane.k !== settledAt) { settle(); }
    over.querySelectorAll(".at").forEach((mark) => mark.setAttribute("transform", `translate(${mark.dataset.x} ${mark.dataset.y}) scale(${markScale()})`));
  };
  const markAt = (x, y, ...inside) => { const mark = draw("g", { class: "at", "data-x": x, "data-y": y, transform: `translate(${x} ${y}) scale(${markScale()})` }); mark.append(...inside); over.append(mark); };
  const zoom = (factor, cx, cy) => { const k = Math.min(6, Math.max(0.08, pane.k * factor)); pane.x = cx - (cx - pane.x) * k / pane.k; pane.y = cy - (cy - pane.y) * k / pane.k; pane.k = k; place(); };
  const fit = () => {
    const across = view.clientWidth / size.w, down = view.clientHeight / size.h, long = across > 2 * down;
    pane.k = long ? Math.min(across, 1.6) : Math.min(across, down, 2);
    pane.x = (view.clientWidth - size.w * pane.k) / 2; pane.y = long ? 0 : (view.clientHeight - size.h * pane.k) / 2; place();
  };
  const narrow = () => window.matchMedia("(max-width:619px)").matches;
  const pictureName = () => state.shown ? `${narrow() ? "ladder" : "path"} ${state.shown}` : "whole";
  const hang = () => {
    const name = pictureName();
    if (!pictures.has(name)) {
      const held = JSON.parse([...document.querySelectorAll("script[data-picture]")].find((one) => one.dataset.picture === name).textContent);
      const box = document.createElement("template");
      box.innerHTML = held.svg;
      pictures.set(name, prepare(box.content.firstElementChild, held.points));
    }
    const picture = pictures.get(name);
    if (picture.svg === svg) { return picture; }
    svg = picture.svg; over = picture.over; points = picture.points; gathered = picture.gathered; settledAt = 0;
    const seen = svg.viewBox.baseVal;
    size = { w: seen.width, h: seen.height, x: seen.x, y: seen.y };
    view.replaceChildren(svg);
    fit();
    return picture;
  };
  const prepare = (made, spots) => {
    const picture = { svg: made, points: spots, leads: [], slots: [], looks: [], parts: new Map(), over: draw("g", { class: "over" }), gathered: labels.gather(made) };
    made.querySelectorAll(".lead").forEach((group) => {
      group.classList.remove("live", "dead", "floating");
      const twin = group.querySelector("path").cloneNode();
      twin.setAttribute("class", "touch"); group.appendChild(twin);
      picture.leads.push({ group, id: group.dataset.id });
    });
    made.querySelectorAll(".part").forEach((group) => {
      const part = group.dataset.id.split("|")[0];
      picture.parts.set(group.dataset.id, group);
      group.querySelectorAll(":scope .look").forEach((look) => picture.looks.push({ look, part }));
    });
    made.querySelectorAll("[data-slot]").forEach((text) => { picture.slots.push({ text, words: text.dataset.slot.split(" "), first: text.textContent }); });
    Object.entries(spots).forEach(([point, [x, y]]) => made.appendChild(draw("circle", { class: "tap", cx: x, cy: y, r: 12, "data-point": point })).appendChild(draw("title", {})).textContent = point);
    made.appendChild(picture.over);
    return picture;
  };

  /* ---- parts: lamps, loads, relays ---- */
  const shares = (owner) => data.branches.flatMap((b, i) => {
    if (b.owner !== owner || !["filament", "resistor"].includes(b.kind)) { return []; }
    if (state.machine.killed.has(i)) { return [0]; }
    const direct = state.machine.volts("dc", state.setting, b.a, b.b), turning = state.setting.engine === "still" ? 0 : state.machine.volts("ac", state.setting, b.a, b.b);
    return [Math.hypot(direct, turning) / (b.kind === "filament" ? b.volts : data.nominal)];
  });
  const partWords = (part) => {
    const kind = data.parts[part]?.kind;
    if (kind === "switch" || kind === "points") { return { look: circuit.positionOf(state.setting, part), words: `at ${circuit.positionOf(state.setting, part)}` }; }
    if (kind === "relay") {
      const { pulled } = state.machine.solved("dc", state.setting), own = data.branches.map((b, i) => [b, i]).filter(([b]) => b.kind === "relay-contact" && b.owner === part);
      const drawn = own.some(([b, i]) => pulled.has(i) !== Boolean(b.rests));
      return { look: drawn ? "pulled" : "rests", words: drawn ? "pulled" : "at rest" };
    }
    if (kind === "lamp") {
      const share = Math.max(0, ...shares(part)), level = share >= data.bounds.bright ? "lit" : share >= data.bounds.glows ? "dim" : "";
      return { glow: level, after: level };
    }
    if (kind === "horn" || kind === "motor") {
      const share = Math.max(0, ...shares(part));
      return { words: share >= data.bounds.runs ? "works" : share >= data.bounds.runs_poorly ? "weak" : "still" };
    }
    if (kind === "battery") { return { after: state.setting.battery ? "" : "off" }; }
    return {};
  };

  /* ---- showing the state ---- */
  const paint = () => {
    const picture = hang(), all = runs(), seen = joined(), leads = new Map(), parts = new Map();
    const stateOf = (lead) => { if (!leads.has(lead)) { leads.set(lead, leadState(lead, all, seen)); } return leads.get(lead); };
    const partOf = (part) => { if (!parts.has(part)) { parts.set(part, partWords(part)); } return parts.get(part); };
    picture.leads.forEach(({ group, id }) => {
      const { kind } = stateOf(id);
      if (group.dataset.kind !== kind) { group.classList.remove("live", "dead", "floating"); group.classList.add(kind); group.dataset.kind = kind; }
    });
    picture.looks.forEach(({ look, part }) => look.classList.toggle("now", partOf(part).look === look.dataset.look));
    picture.parts.forEach((group, id) => { const glow = partOf(id.split("|")[0]).glow; group.classList.toggle("lit", glow === "lit"); group.classList.toggle("dim", glow === "dim"); });
    picture.slots.forEach(({ text, words: [what, id, terminal], first }) => {
      if (what === "value" || what === "row") {
        const { words, after } = partOf(id), pins = what === "row" && words && first.includes(" · ") ? ` · ${first.split(" · ").slice(1).join(" · ")}` : "";
        text.textContent = words ? words + pins : after ? `${first} · ${after}` : first;
        return;
      }
      const lead = stateOf(id), end = data.leads[id].from === terminal ? 0 : 1;
      const figure = lead.kind === "live" ? volts(lead.ends[end], lead.regime) : "", current = lead.amps >= data.bounds.shown_a ? milli(lead.amps) : "";
      text.textContent = what === "volts" ? figure : what === "amps" ? current : [figure, current].filter(Boolean).join(" · ");
    });
    settle();
    return { all, seen };
  };
  const settingWords = () => {
    const moved = data.switches.filter((s) => circuit.positionOf(state.setting, s.id) !== s.rests).map((s) => `${s.called} at ${state.setting.positions[s.id]}`);
    return [...moved, ...(state.setting.battery || !data.battery ? [] : ["battery off"]), ...(state.setting.engine === "still" ? [] : [`engine ${state.setting.engine}`]), ...(state.moved ? [`moving the wiring at ${data.flexes[state.moved]}`] : [])].join(" · ") || "everything at rest";
  };
  const when = (f) => ({ ...state.setting, positions: { ...state.setting.positions, ...f.when.positions }, engine: f.when.engine ?? state.setting.engine, battery: f.when.battery ?? state.setting.battery });
  const own = (f) => ({ positions: { ...f.when.positions }, engine: f.when.engine ?? "still", battery: f.when.battery ?? data.battery });
  const asked = (f) => Object.entries(f.when.positions).every(([name, word]) => circuit.positionOf(state.setting, name) === word) && state.setting.engine === (f.when.engine ?? state.setting.engine) && state.setting.battery === (f.when.battery ?? state.setting.battery);
  let rows = new Map(), losses = new Map();
  const showFunctions = () => {
    data.functions.forEach((f) => {
      const row = rows.get(f.id), on = asked(f), level = on ? state.machine.level(f.id, when(f)) : -1, lost = losses.get(f.id);
      row.button.setAttribute("aria-pressed", String(state.shown === f.id));
      row.button.classList.toggle("worse", lost !== undefined);
      row.sign.textContent = on ? SIGN[level] : "○";
      const now = on ? (wavers() && sound.level(f.id, when(f)) !== level ? "comes and goes" : LEVEL[level]) : "not asked for";
      row.tail.textContent = [now, lost === undefined ? "" : `fault: ${LEVEL[lost]}`].filter(Boolean).join(" · ");
      row.button.dataset.level = on ? LEVEL[level] : "";
    });
    rows.get("").button.setAttribute("aria-pressed", String(state.shown === ""));
    const f = byId.get(state.shown), turn = $("turn");
    turn.hidden = !f || asked(f);
    turn.textContent = f ? `Turn the switches to it` : "";
  };

  /* ---- the walk ---- */
  const walk = () => byId.get(state.shown)?.walks[state.way] ?? null;
  const openHere = (step) => {
    const reasons = step.branches.flatMap((id) => {
      const i = branch.get(id), b = data.branches[i];
      if (state.machine.killed.has(i)) { return [`open here: ${state.fault.words}`]; }
      if (b.kind === "switch" && !b.positions?.includes(circuit.positionOf(state.setting, b.owner))) { return [`open here: the switch is at ${circuit.positionOf(state.setting, b.owner)}`]; }
      if (b.kind === "relay-contact" && !state.machine.solved("dc", state.setting).pulled.has(i)) { return ["open here: the relay is at rest"]; }
      if (b.kind === "battery" && !state.setting.battery) { return ["open here: the battery is off"]; }
      return (acting()?.changes ?? []).some((c) => c.branch === i) ? [`the fault is here: ${state.fault.words}`] : [];
    });
    return reasons[0] ?? "";
  };
  const runOf = (regime) => ["dc", "ac", "pulse"].includes(regime) ? state.machine.solved(regime, state.setting) : null;
  const stepFigures = (regime, step) => {
    const run = runOf(regime), open = openHere(step), told = [];
    if (run) {
      const before = potential(run, at(step.start)), after = potential(run, at(step.end)), current = Math.max(...step.branches.map((id) => flow(run, branch.get(id))));
      told.push(`${volts(before, regime)} at ${named(step.start)}, ${volts(after, regime)} at ${named(step.end)}`);
      if (regime !== "pulse") { told.push(current >= 1e-4 ? `${milli(current)} runs` : "no current"); }
    } else { told.push(`${ohms(state.machine.ohms(state.setting, at(step.start), at(step.end)))} from end to end, measured dead`); }
    return { open, words: told.join(" · ") };
  };
  const elements = (element) => [...svg.querySelectorAll(".lead,.part")].filter((group) => group.dataset.id === element || group.dataset.id.startsWith(`${element}|`));
  const boxOf = (group) => { const core = group.querySelector(".symbol") ?? group; return core.getBBox(); };
  const ringOn = (element, start) => {
    let spread = null;
    elements(element).forEach((group) => {
      if (group.classList.contains("lead")) {
        const path = group.querySelector("path"), twin = draw("path", { d: path.getAttribute("d"), class: "run" }), long = path.getTotalLength();
        over.appendChild(twin);
        const head = path.getPointAtLength(0), spot = points[start], back = spot ? Math.hypot(head.x - spot[0], head.y - spot[1]) > Math.hypot(path.getPointAtLength(long).x - spot[0], path.getPointAtLength(long).y - spot[1]) : false;
        const p = path.getPointAtLength(long / 2), q = path.getPointAtLength(long / 2 + 2), turn = Math.atan2(q.y - p.y, q.x - p.x) * 180 / Math.PI + (back ? 180 : 0);
        over.appendChild(draw("path", { d: "M-9 -10L12 0L-9 10Z", class: "arrow", transform: `translate(${p.x} ${p.y}) rotate(${turn})` }));
        spread = path.getBBox();
      } else {
        const box = boxOf(group);
        over.appendChild(draw("rect", { class: "ring", x: box.x - 8, y: box.y - 8, width: box.width + 16, height: box.height + 16, rx: 8 }));
        spread = box;
      }
    });
    return spread;
  };
  /* as large as letters can be read from the back of the room, as long as both ends of the element are in sight */
  const follow = (box) => {
    const wide = view.clientWidth, high = view.clientHeight, ladder = size.w < 400;
    const readable = Math.min(2.2, 1.3 * parseFloat(getComputedStyle(document.documentElement).fontSize) / 11.5);
    pane.k = ladder ? Math.min(wide / size.w, 1.6) : Math.max(Math.min(wide / size.w, high / size.h), Math.min(readable, wide / (box.width + 260), high / (box.height + 170)));
    const x = box.x + box.width / 2 - size.x, y = box.y + box.height / 2 - size.y;
    pane.x = ladder ? (wide - size.w * pane.k) / 2 : wide / 2 - x * pane.k; pane.y = high / 2 - y * pane.k; place();
  };
  const marks = (go = false) => {
    over.replaceChildren();
    const way = walk(), step = way?.steps[state.step];
    if (step) { const spot = ringOn(step.element, step.start); if (spot && go) { follow(spot); } }
    if (state.fault && $("mark").checked) {
      const target = elements(state.fault.element)[0] ?? elements(state.fault.owner)[0];
      if (target) {
        const path = target.classList.contains("lead") ? target.querySelector("path") : null, long = path?.getTotalLength() ?? 0, box = path ? null : boxOf(target);
        const along = state.fault.element.endsWith(".from") || state.fault.element.endsWith(".to") ? 0.12 : 0.35;
        const spot = path ? path.getPointAtLength(long * along) : { x: box.x + box.width / 2, y: box.y + box.height / 2 };
        markAt(spot.x, spot.y, draw("circle", { class: "bad", r: 10 }), draw("path", { class: "cross", d: "M-5 -5l10 10m0 -10l-10 10" }));
      }
    }
    [["red", state.red, -28], ["black", state.black, 8]].forEach(([name, point, y]) => {
      const spot = points[point];
      if (!spot) { return; }
      const wide = name === "red" ? 34 : 46, words = draw("text", { class: "tag", x: -wide - 5, y: y + 15 });
      words.textContent = name;
      markAt(...spot, draw("circle", { class: `tip ${name}`, r: 9 }), draw("rect", { class: name, x: -wide - 10, y, width: wide, height: 20, rx: 4 }), words);
    });
  };
  const tell = () => {
    const f = byId.get(state.shown), way = walk(), step = way?.steps[state.step];
    $("back").disabled = !way || state.step < 0; $("next").disabled = !way || state.step >= way.steps.length - 1;
    $("count").textContent = way ? `${state.step + 1} of ${way.steps.length}` : "";
    $("way").disabled = !f || f.walks.length < 2;
    if (step) {
      const { open, words } = stepFigures(way.regime, step);
      $("said").textContent = step.words; $("figures").textContent = [open ? `✕ ${open}` : "", words].filter(Boolean).join(" · ");
    } else if (f) {
      const level = asked(f) ? state.machine.level(f.id, when(f)) : -1;
      $("said").textContent = level < 0 ? `${f.called}: not asked for as the switches stand.` : `${f.called}: ${SIGN[level]} ${LEVEL[level]}${wavers() && sound.level(f.id, when(f)) !== level ? ", then works again: it comes and goes" : ""}.`;
      $("figures").textContent = way ? "Step › walks along the current." : "";
    } else { $("said").textContent = "Turn a switch, or choose what the machine must do."; $("figures").textContent = ""; }
    if (state.machine.solved("dc", state.setting).chatters) { $("figures").textContent = "A relay chatters: its own contact takes the volts off its coil and gives them back."; }
  };
  const go = (by) => { const way = walk(); if (!way) { return; } state.step = Math.min(way.steps.length - 1, Math.max(-1, state.step + by)); tell(); marks(true); };

  /* ---- a fault and what it changes ---- */
  const stops = (f, machine, setting) => {
    for (const way of f.walks) {
      if (!["dc", "ac", "pulse"].includes(way.regime)) { continue; }
      const run = machine.solved(way.regime, setting), full = Math.max(...way.steps.flatMap((s) => [s.start, s.end].map((p) => Math.abs(potential(run, at(p))))));
      if (full < data.bounds.live_v[way.regime]) { continue; }
      let worst = null;
      way.steps.forEach((s) => {
        if (s.load) { return; }
        const drop = machine.volts(way.regime, setting, at(s.start), at(s.end)), lost = Math.abs(drop);
        if (lost > Math.max(0.05 * full, 0.3) && (!worst || lost > worst.lost)) { worst = { lost, s, way, before: potential(run, at(s.start)), after: potential(run, at(s.end)) }; }
      });
      if (worst) { return worst; }
    }
    return null;
  };
  const showChanged = () => {
    const box = $("changed");
    box.replaceChildren(); losses = new Map();
    $("mend").disabled = !state.fault;
    if (!state.fault) { return; }
    const worse = data.functions.map((f) => ({ f, before: sound.level(f.id, own(f)), after: state.broken.level(f.id, own(f)) })).filter((one) => one.after !== one.before);
    worse.forEach(({ f, after }) => losses.set(f.id, after));
    box.append(make("p", {}, make("b", { textContent: `✕ ${state.fault.words}` })));
    const place = state.fault.moves && data.flexes[state.fault.moves];
    if (place) { box.append(make("p", { textContent: state.moved === state.fault.moves ? `The wiring at ${place} is being moved: it comes and goes. Shown as while it is out.` : `At rest all is well. Move the wiring at ${place}: it comes and goes.` })); }
    if (!worse.length) { box.append(make("p", { textContent: "Nothing that the machine must do changes." })); return; }
    const list = make("ul");
    worse.forEach(({ f, before, after }) => {
      const way = after < before ? stops(f, state.broken, own(f)) : null;
      const where = way ? ` The volts stop at ${way.s.element}: ${volts(way.before, way.way.regime)} at ${named(way.s.start)}, ${volts(way.after, way.way.regime)} at ${named(way.s.end)}.` : "";
      const item = make("li", {}, make("b", { textContent: `${f.called}: ${LEVEL[after]}` }), ` (sound: ${LEVEL[before]}).${where}`);
      item.dataset.function = f.id;
      list.append(item);
    });
    box.append(list);
  };
  const plant = (fault) => {
    state.fault = fault; state.broken = fault ? circuit.machine(fault) : sound;
    showChanged(); refresh();
  };
  const listFaults = () => {
    const words = $("seek").value.toLowerCase().split(/\s+/).filter(Boolean), held = new Set([...svg.querySelectorAll(".lead,.part")].flatMap((group) => { const id = group.dataset.id.split("|")[0]; return [id, id.split(".")[0]]; }));
    const found = data.faults.map((fault, i) => [fault, i]).filter(([fault]) => (!$("near").checked || held.has(fault.owner)) && words.every((word) => `${fault.id} ${fault.words}`.toLowerCase().includes(word)));
    const options = found.slice(0, 400).map(([fault, i]) => make("option", { value: String(i), textContent: fault.words, selected: fault === state.fault }));
    if (found.length > 400) { options.push(make("option", { disabled: true, textContent: `and ${found.length - 400} more: seek by a word` })); }
    if (!found.length) { options.push(make("option", { disabled: true, textContent: "no such fault in this picture" })); }
    $("fault").replaceChildren(...options);
  };

  /* ---- the meter ---- */
  const ranges = [["volts", "Volts DC"], ["ac", "Volts AC"], ["ohms", "Ohms"], ["beep", "Beeper"], ...(data.meter.lamp_w ? [["lamp", "Test lamp"]] : [])];
  const refused = () => {
    const dead = !state.setting.battery && state.setting.engine === "still", live = state.setting.engine !== "still";
    const bad = [state.red, state.black].find((point) => live && data.never.includes(point));
    if (bad) { return `Never there while the engine turns: ${bad} carries high tension or pulses.`; }
    if (meter.dead(state.range) && !dead) { return `${state.range === "beep" ? "The beeper" : "Ohms"} only on a dead circuit: ${state.setting.battery ? "battery off" : "engine still"} first.`; }
    if (["volts", "lamp"].includes(state.range) && dead) { return "Nothing drives the circuit: battery on, or engine turning."; }
    if (state.range === "ac" && !live) { return "Alternating volts need a turning engine."; }
    return "";
  };
  const measured = (machine) => meter.value(machine, state.setting, state.range, at(state.red), at(state.black));
  const figure = (value) => {
    const said = meter.word(state.range, value);
    return said || (state.range === "ohms" ? (value === Infinity ? "OL" : ohms(value)) : volts(value, state.range === "ac" ? "ac" : "dc"));
  };
  const besides = (value) => {
    if (state.range === "beep") { return `${value === Infinity ? "No way through" : ohms(value)}${meter.disputed(value) ? ": some meters beep here, others do not" : ""}. `; }
    return state.range === "lamp" ? `${volts(value)} across the lamp, which loads the circuit. ` : "";
  };
  const showMeter = () => {
    $("red").value = state.red; $("black").value = state.black;
    const ready = node.has(state.red) && node.has(state.black), no = ready ? refused() : "", shows = ready && !no;
    const now = shows ? measured(state.machine) : 0, well = shows && state.fault ? measured(sound) : now, jumps = shows && wavers() && (meter.jumps(state.range, now, well) && figure(now) !== figure(well));
    $("shown").textContent = !ready ? "– – –" : no ? "✕" : jumps ? `${figure(well)} ↔ ${figure(now)}` : figure(now);
    $("shown").classList.toggle("long", jumps);
    $("shown").dataset.value = shows ? String(now) : "";
    $("meant").textContent = !ready ? "" : no || (besides(now) + (jumps ? "It jumps while the wiring is moved. " : "") + (state.fault ? `Sound, it would show ${figure(well)}.` : ""));
    const table = data.careful[`${state.range} ${state.setting.engine}`], names = table && ready ? [...table.all, ...[state.red, state.black].flatMap((point) => table.at[point] ?? [])] : [];
    $("care").replaceChildren(...[...new Set(names)].map((name) => make("li", { textContent: data.cautions[name] })));
  };
  const probe = (point) => {
    if (!state.red || state.black) { state.red = point; state.black = ""; } else { state.black = point; }
    showMeter(); marks();
  };
  const typed = (name) => {
    const text = $(name).value.trim();
    if (text && !node.has(text)) {
      const near = [...data.terminals, "frame"].filter((point) => point.toLowerCase().includes(text.toLowerCase())).slice(0, 3);
      $("meant").textContent = `There is no point ${text}${near.length ? `; did you mean ${near.join(" or ")}?` : ""}`;
      return;
    }
    state[name] = text; showMeter(); marks();
  };

  /* ---- everything again ---- */
  const refresh = () => { state.machine = acting() ? state.broken : sound; paint(); $("set").textContent = settingWords(); showFunctions(); tell(); marks(); showMeter(); };
  const segment = (legend, name, words, now, change) => {
    const box = make("div", { className: "seg" });
    words.forEach(([value, label]) => {
      const input = make("input", { type: "radio", name, value, checked: value === now });
      input.addEventListener("change", () => change(value));
      box.append(make("label", {}, input, make("span", { textContent: label })));
    });
    return legend ? make("fieldset", {}, make("legend", {}, make("span", { textContent: legend })), box) : box;
  };
  let opened = null;
  const controls = () => {
    const wanted = Object.keys(byId.get(state.shown)?.when.positions ?? {}), first = (s) => wanted.includes(s.id) ? 0 : 1;
    const made = data.switches.map((s) => [first(s), segment(s.called, `switch ${s.id}`, s.positions.map((p) => [p, p]), circuit.positionOf(state.setting, s.id), (value) => { state.setting = { ...state.setting, positions: { ...state.setting.positions, [s.id]: value } }; refresh(); })]);
    const near = made.filter(([order]) => order === 0).map(([, box]) => box), rest = made.filter(([order]) => order === 1).map(([, box]) => box);
    if (data.engine.length > 1) { near.unshift(segment("engine", "engine", data.engine.map((e) => [e, e]), state.setting.engine, (value) => { state.setting = circuit.withEngine(state.setting, value); refresh(); })); }
    if (data.battery) { near.push(segment("battery", "battery", [["on", "on"], ["off", "off"]], state.setting.battery ? "on" : "off", (value) => { state.setting = { ...state.setting, battery: value === "on" }; refresh(); })); }
    const others = make("details", { open: opened ?? (!narrow() || !state.shown) }, make("summary", { textContent: state.shown ? `The other switches (${rest.length})` : `Switches (${rest.length})` }), ...rest);
    others.firstChild.addEventListener("click", () => { opened = !others.open; });
    $("switches").replaceChildren(...near, ...(rest.length ? [others] : []));
  };
  const moving = () => {
    const places = Object.entries(data.flexes);
    if (places.length) { $("moving").append(segment("moving the wiring at", "moved", [["", "nothing"], ...places], state.moved, (value) => { state.moved = value; showChanged(); refresh(); })); }
  };
  const choose = (name) => {
    state.shown = name; state.way = 0; state.step = -1;
    $("way").replaceChildren(...(byId.get(name)?.walks ?? []).map((way, i) => make("option", { value: String(i), textContent: `${i + 1}. ${way.words}` })));
    controls(); refresh(); listFaults();
    const list = $("functions"), row = rows.get(name).button, top = row.offsetTop - list.offsetTop;
    list.scrollTop = Math.min(top, Math.max(list.scrollTop, top + row.offsetHeight - list.clientHeight));
  };
  const functionRow = (id, words) => {
    const sign = make("span", { textContent: "" }), tail = make("small"), button = make("button", { type: "button" }, sign, make("span", { textContent: words }), tail);
    button.dataset.function = id;
    button.addEventListener("click", () => choose(id));
    rows.set(id, { button, sign, tail });
    return button;
  };
  document.documentElement.lang = "en";
  $("machine").textContent = data.machine; $("who").textContent = data.who;
  $("functions").append(functionRow("", "The whole machine"), ...data.functions.map((f) => functionRow(f.id, f.called)));
  $("range").append(segment("", "range", ranges, state.range, (value) => { state.range = value; showMeter(); }));
  moving();
  $("points").append(...[...data.terminals, "frame"].map((point) => make("option", { value: point })));
  $("turn").addEventListener("click", () => { state.setting = own(byId.get(state.shown)); controls(); refresh(); });
  $("next").addEventListener("click", () => go(1)); $("back").addEventListener("click", () => go(-1));
  $("way").addEventListener("change", (event) => { state.way = Number(event.target.value); state.step = -1; tell(); marks(); });
  $("seek").addEventListener("input", listFaults); $("near").addEventListener("change", listFaults); $("mark").addEventListener("change", () => marks());
  $("fault").addEventListener("change", (event) => plant(data.faults[Number(event.target.value)]));
  $("mend").addEventListener("click", () => { $("fault").selectedIndex = -1; plant(null); });
  ["red", "black"].forEach((name) => $(name).addEventListener("change", () => typed(name)));
  $("large").addEventListener("click", (event) => { const on = document.documentElement.classList.toggle("large"); event.target.setAttribute("aria-pressed", String(on)); fit(); settle(); });

  /* ---- fingers, mouse and keys on the picture ---- */
  const held = new Map();
  let moved = 0, spread = 0;
  view.addEventListener("pointerdown", (event) => { held.set(event.pointerId, event); view.classList.add("held"); moved = 0; spread = 0; });
  view.addEventListener("pointermove", (event) => {
    const last = held.get(event.pointerId);
    if (!last) { return; }
    held.set(event.pointerId, event);
    const two = [...held.values()];
    if (two.length === 1) { const dx = event.clientX - last.clientX, dy = event.clientY - last.clientY; moved += Math.abs(dx) + Math.abs(dy); pane.x += dx; pane.y += dy; place(); return; }
    const far = Math.hypot(two[0].clientX - two[1].clientX, two[0].clientY - two[1].clientY), corner = view.getBoundingClientRect();
    if (spread) { zoom(far / spread, (two[0].clientX + two[1].clientX) / 2 - corner.left, (two[0].clientY + two[1].clientY) / 2 - corner.top); }
    spread = far; moved += 10;
  });
  const drop = (event) => { held.delete(event.pointerId); spread = 0; if (!held.size) { view.classList.remove("held"); } };
  view.addEventListener("pointerup", (event) => {
    drop(event);
    if (moved > 8) { return; }
    const tap = event.target.closest?.(".tap"), group = event.target.closest?.(".lead,.part");
    if (tap) { probe(tap.dataset.point); } else if (group) {
      const id = group.dataset.id.split("|")[0], known = data.leads[id] ?? data.parts[id] ?? data.parts[id.split(".")[0]];
      if (known) { $("said").textContent = known.words[0].toUpperCase() + known.words.slice(1); $("figures").textContent = ""; }
    }
  });
  ["pointercancel", "pointerleave"].forEach((name) => view.addEventListener(name, drop));
  view.addEventListener("wheel", (event) => { event.preventDefault(); const corner = view.getBoundingClientRect(); zoom(Math.exp(-event.deltaY / 500), event.clientX - corner.left, event.clientY - corner.top); }, { passive: false });
  view.addEventListener("keydown", (event) => {
    const move = { ArrowLeft: [60, 0], ArrowRight: [-60, 0], ArrowUp: [0, 60], ArrowDown: [0, -60] }[event.key];
    if (move) { pane.x += move[0]; pane.y += move[1]; place(); event.preventDefault(); }
    else if (event.key === "+" || event.key === "=") { middle(1.3); } else if (event.key === "-") { middle(1 / 1.3); } else if (event.key === "0") { fit(); }
  });
  const middle = (factor) => zoom(factor, view.clientWidth / 2, view.clientHeight / 2);
  $("in").addEventListener("click", () => middle(1.4)); $("out").addEventListener("click", () => middle(1 / 1.4)); $("fit").addEventListener("click", fit);
  let wasNarrow = narrow();
  window.addEventListener("resize", () => { if (narrow() !== wasNarrow) { wasNarrow = narrow(); refresh(); } else { fit(); } });

  const begin = data.functions[0];
  if (begin) { state.setting = own(begin); }
  choose(begin?.id ?? "");
  /* widths were measured before the fonts in the page were read */
  document.fonts.ready.then(() => { labels.forget(); settle(); });
  document.documentElement.dataset.ready = "yes";
})();
