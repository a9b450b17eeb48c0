"use strict";
/* The circuit of one machine, solved in the page by the same equations as circuit/ in Python.

   Nodal equations by star-mesh elimination: a node is taken out, and what it joined is joined by the mesh of
   g_i g_j / sum(g) instead. Nothing is ever subtracted from a conductance, so an open lead of gigohms in
   series with milliohms keeps its digits. Filaments, junctions, clamps and chargers: Newton's method on the
   whole network; relays: again until they stay. Numbers of the laws come with the data, not from here. */
const makeCircuit = (data) => {
  const K = data.constants, count = data.nodes.length, FRAME = count;
  const list = data.branches.map((b) => ({
    turning: {}, hertz: {}, henry: 0, farad: 0, positions: [], follows: -1, rests: false, factor: 0, volts: 0, ...b,
    a: b.a < 0 ? FRAME : b.a, b: b.b < 0 ? FRAME : b.b, ohm: b.ohm ?? Infinity, dead: ("dead" in b ? b.dead : b.ohm) ?? Infinity, top: b.top ?? Infinity,
  }));
  const LAWS = { dc: ["filament", "diode", "clamp", "charger", "relay-contact", "uptake"], ac: ["filament", "clamp", "relay-contact"], pulse: [], ohms: [] };
  const PLAIN = ["lead", "joint", "contact", "earth", "switch", "fuse", "resistor", "coil", "insulation"];
  const lawsOf = Object.fromEntries(Object.entries(LAWS).map(([regime, kinds]) => [regime, list.flatMap((b, i) => kinds.includes(b.kind) ? [i] : [])]));
  const worked = data.switches.filter((s) => s.worked || s.breaker).map((s) => s.id);
  /** The setting with the engine in another state: what no hand sets rests as it comes to a stop, a breaker too. */
  const withEngine = (setting, engine) => ({
    ...setting,
    engine,
    positions: engine === "still" && setting.engine !== "still" ? Object.fromEntries(Object.entries(setting.positions).filter(([name]) => !worked.includes(name))) : setting.positions,
  });
  const positionOf = (setting, name) => setting.positions[name] ?? data.switches.find((s) => s.id === name).rests;
  const SERIES = 1, SHUNT = 2, STRESS = 3, SCALE = 4, EMF = 5, KILL = 6, FLAG = 7;

  /* ---- order of elimination: least degree first, once for every set of joined pairs ---- */
  const plans = new Map();
  const planOf = (pairs) => {
    const key = pairs.join(";");
    if (!plans.has(key)) { plans.set(key, makePlan(pairs)); }
    return plans.get(key);
  };
  const makePlan = (pairs) => {
    const near = Array.from({ length: count }, () => new Set());
    const join = (a, b) => { if (a !== b && a < count && b < count) { near[a].add(b); near[b].add(a); } };
    list.forEach((b) => join(b.a, b.b));
    pairs.forEach(([a, b]) => join(a, b));
    const left = new Set(near.keys()), order = [], rows = [], place = new Int32Array(count);
    while (left.size) {
      let best = -1;
      for (const node of left) { if (best < 0 || near[node].size < near[best].size) { best = node; if (near[node].size < 2) { break; } } }
      const row = [...near[best]];
      for (const one of row) { near[one].delete(best); for (const two of row) { if (one !== two) { near[one].add(two); } } }
      place[best] = order.length; order.push(best); rows.push(row); left.delete(best);
    }
    const start = new Int32Array(count + 1), slot = new Map();
    rows.forEach((row, t) => { start[t + 1] = start[t] + row.length; row.forEach((j, n) => slot.set(order[t] * count + j, start[t] + n)); });
    const slotOf = (i, j) => place[i] < place[j] ? slot.get(i * count + j) : slot.get(j * count + i);
    const to = Int32Array.from(rows.flat()), mesh = [];
    rows.forEach((row) => row.forEach((one, n) => { for (let m = 0; m < n; m += 1) { mesh.push(slotOf(one, row[m])); } }));
    const at = list.map((b) => b.a < count && b.b < count ? (b.a === b.b ? -1 : slotOf(b.a, b.b)) : -1);
    return { order: Int32Array.from(order), start, to, mesh: Int32Array.from(mesh), at, slotOf, size: to.length };
  };

  /* ---- one elimination: complex throughout, so that all regimes share it ---- */
  const factor = (plan, gr, gi, stray, shunts) => {
    const wr = new Float64Array(plan.size), wi = new Float64Array(plan.size), er = new Float64Array(count), ei = new Float64Array(count);
    const put = (a, b, slot, re, im) => {
      if (a === b) { return; }
      if (a < count && b < count) { wr[slot] += re; wi[slot] += im; } else { const n = a < count ? a : b; er[n] += re; ei[n] += im; }
    };
    for (let i = 0; i < list.length; i += 1) { put(list[i].a, list[i].b, plan.at[i], gr[i], gi[i]); }
    for (const [a, b, g] of shunts) { put(a, b, a < count && b < count && a !== b ? plan.slotOf(a, b) : -1, g, 0); }
    for (const node of stray) { er[node] += K.stray_s; }
    const nr = new Float64Array(count), ni = new Float64Array(count);
    let m = 0;
    for (let t = 0; t < count; t += 1) {
      const k = plan.order[t], from = plan.start[t], end = plan.start[t + 1];
      let sr = er[k], si = ei[k];
      for (let p = from; p < end; p += 1) { sr += wr[p]; si += wi[p]; }
      const size = sr * sr + si * si;
      const vr = size ? sr / size : 0, vi = size ? -si / size : 0;
      nr[t] = vr; ni[t] = vi;
      for (let p = from; p < end; p += 1) {
        const qr = wr[p] * vr - wi[p] * vi, qi = wr[p] * vi + wi[p] * vr, j = plan.to[p];
        er[j] += qr * er[k] - qi * ei[k]; ei[j] += qr * ei[k] + qi * er[k];
        for (let r = from; r < p; r += 1, m += 1) {
          const s = plan.mesh[m];
          wr[s] += qr * wr[r] - qi * wi[r]; wi[s] += qr * wi[r] + qi * wr[r];
        }
      }
    }
    return (xr, xi) => {
      const vr = new Float64Array(count + 1), vi = new Float64Array(count + 1);
      for (let t = 0; t < count; t += 1) {
        const k = plan.order[t], cr = xr[k] * nr[t] - xi[k] * ni[t], ci = xr[k] * ni[t] + xi[k] * nr[t];
        for (let p = plan.start[t]; p < plan.start[t + 1]; p += 1) {
          const j = plan.to[p];
          xr[j] += wr[p] * cr - wi[p] * ci; xi[j] += wr[p] * ci + wi[p] * cr;
        }
      }
      for (let t = count - 1; t >= 0; t -= 1) {
        const k = plan.order[t];
        let ar = xr[k], ai = xi[k];
        for (let p = plan.start[t]; p < plan.start[t + 1]; p += 1) {
          const j = plan.to[p];
          ar += wr[p] * vr[j] - wi[p] * vi[j]; ai += wr[p] * vi[j] + wi[p] * vr[j];
        }
        vr[k] = ar * nr[t] - ai * ni[t]; vi[k] = ar * ni[t] + ai * nr[t];
      }
      return { vr, vi };
    };
  };

  /* ---- laws: the same formulas as circuit/laws.py ---- */
  const soft = (x) => {
    const tail = Math.exp(-Math.abs(x));
    return [Math.max(x, 0) + Math.log1p(tail), x >= 0 ? 1 / (1 + tail) : tail / (1 + tail)];
  };
  const filament = (v, ohm, rated) => {
    const square = K.cold_ratio ** 2, bent = (1 - square) * Math.abs(v / rated) ** 0.9, r = ohm * Math.sqrt(square + bent);
    return [v / r, (1 - 0.45 * bent / (square + bent)) / r];
  };
  const clamp = (v, ohm, limit) => {
    const [up, us] = soft((v - limit) / K.bend_v), [down, ds] = soft((-v - limit) / K.bend_v);
    return [K.bend_v * (up - down) / ohm + K.leak_s * v, (us + ds) / ohm + K.leak_s];
  };
  const law = (b, v, emf, pulled) => {
    if (b.kind === "filament") { return filament(v, b.ohm, b.volts); }
    if (b.kind === "clamp") { return clamp(v, b.ohm, b.volts); }
    if (b.kind === "diode") { const [y, s] = soft((v - K.diode_v) / K.bend_v); return [K.bend_v * y / b.ohm + K.leak_s * v, s / b.ohm + K.leak_s]; }
    if (b.kind === "charger") { const [y, s] = soft((emf - v) / K.bend_v); return [-K.bend_v * y / b.ohm, s / b.ohm]; }
    if (b.kind === "uptake") { const [y, s] = soft((v - b.volts - K.charged_v) / K.uptake_bend_v); return [-K.uptake_bend_v * y / b.refuses, -s / b.refuses]; }
    return [pulled ? v / b.ohm : 0, pulled ? 1 / b.ohm : 0];
  };

  /* ---- what each branch conducts in a setting, as circuit/network.py has it ---- */
  const invert = (re, im) => { const s = re * re + im * im; return [re / s, -im / s]; };
  const plainValues = (setting, regime) => {
    const gr = new Float64Array(list.length), gi = new Float64Array(list.length), emf = new Float64Array(list.length);
    const omega = (b) => 2 * Math.PI * (b.hertz[setting.engine] ?? 0);
    const fastest = Math.max(0, ...list.filter((b) => b.kind === "winding").map(omega));
    list.forEach((b, i) => {
      const k = b.kind;
      if (k === "switch" && !b.positions.includes(positionOf(setting, b.owner))) { return; }
      if (k === "battery" && !setting.battery) { return; }
      if (k === "relay-contact" && regime === "ohms" && !b.rests) { return; }
      if (PLAIN.includes(k)) { gr[i] = 1 / (b.ohm + (k === "coil" && regime === "pulse" ? K.surge_ohm : 0)); return; }
      if (k === "capacitor") { if (regime === "ac") { gi[i] = fastest * b.farad; } return; }
      if (regime === "ohms") { gr[i] = k === "battery" || !Number.isFinite(b.dead) ? 0 : 1 / b.dead; return; }
      if (k === "battery") { gr[i] = 1 / b.ohm; emf[i] = regime === "dc" ? b.volts : 0; }
      else if (k === "inside") { gr[i] = 1 / b.ohm; }
      else if (k === "winding") {
        if (regime !== "ac") { gr[i] = 1 / b.ohm; } else { [gr[i], gi[i]] = invert(b.ohm, omega(b) * b.henry); emf[i] = b.turning[setting.engine] ?? 0; }
      }
      else if (k === "load") { gr[i] = regime === "ac" ? 1 / b.ohm : 0; }
      else if (k === "delivers") { gr[i] = regime === "pulse" ? 1 / b.ohm : 0; }
      else if (k === "relay-contact") { gr[i] = b.rests ? 1 / b.ohm : 0; }
      else if (k === "filament") { gr[i] = 2 / b.ohm; }
      else if (k === "diode" || k === "clamp") { gr[i] = 1 / b.dead; }
    });
    return { gr, gi, emf };
  };
  const loose = (gr, gi) => {
    const root = Int32Array.from({ length: count + 1 }, (_, i) => i);
    const find = (i) => { while (root[i] !== i) { root[i] = root[root[i]]; i = root[i]; } return i; };
    list.forEach((b, i) => { if (gr[i] !== 0 || gi[i] !== 0) { root[find(b.a)] = find(b.b); } });
    const seen = new Set([find(FRAME)]), found = [];
    for (let i = 0; i < count; i += 1) { const r = find(i); if (!seen.has(r)) { seen.add(r); found.push(i); } }
    return found;
  };

  /* ---- changes: what a fault does, as circuit/changes.py has it ---- */
  const change = (fault, regime, setting, values) => {
    const { gr, gi, emf } = values, shunts = [], acting = lawsOf[regime];
    const stressed = (regime === "ac" || regime === "pulse") && setting.engine !== "still";
    for (const c of fault.changes) {
      const i = c.branch;
      if (c.mode === SHUNT || (c.mode === STRESS && stressed)) { shunts.push([c.a < 0 ? FRAME : c.a, c.b < 0 ? FRAME : c.b, 1 / c.value]); continue; }
      if (i < 0 || acting.includes(i)) { continue; }
      if (c.mode === SERIES && (gr[i] !== 0 || gi[i] !== 0)) { const [r, x] = invert(gr[i], gi[i]); [gr[i], gi[i]] = invert(r + (c.value ?? K.open_ohm), x); }
      else if (c.mode === SCALE) { gr[i] /= c.value; gi[i] /= c.value; emf[i] *= c.value; }
      else if (c.mode === KILL) { gr[i] = 0; gi[i] = 0; }
      else if (c.mode === EMF && emf[i] !== 0) { emf[i] = c.value; }
    }
    return shunts;
  };
  const uptakeOf = new Map(list.flatMap((b, i) => b.kind === "uptake" ? [[b.follows, i]] : []));
  const killedBy = (fault) => new Set(fault.changes.flatMap((c) => uptakeOf.has(c.branch) ? [uptakeOf.get(c.branch)] : []).concat(fault.changes.filter((c) => c.branch >= 0 && (c.mode === KILL || c.mode === FLAG || (c.mode === SERIES && c.value === null))).map((c) => c.branch)));

  const inject = (values, plan, shunts, stray, more) => {
    const xr = new Float64Array(count + 1), xi = new Float64Array(count + 1);
    list.forEach((b, i) => {
      const e = values.emf[i];
      if (e !== 0) { xr[b.a] += values.gr[i] * e; xi[b.a] += values.gi[i] * e; xr[b.b] -= values.gr[i] * e; xi[b.b] -= values.gi[i] * e; }
      if (more && more[i] !== 0) { xr[b.a] += more[i]; xr[b.b] -= more[i]; }
    });
    const solve = factor(plan, values.gr, values.gi, stray, shunts);
    return { solve, ...solve(xr, xi) };
  };

  /* ---- one machine with one fault (or none): every regime, each setting solved once ---- */
  const machine = (fault = { changes: [] }) => {
    const pairs = fault.changes.filter((c) => c.mode === SHUNT || c.mode === STRESS).map((c) => [c.a < 0 ? FRAME : c.a, c.b < 0 ? FRAME : c.b]);
    const plan = planOf(pairs), killed = killedBy(fault), known = new Map();
    const rest = new Set(list.flatMap((b, i) => b.kind === "relay-contact" && b.rests ? [i] : []));
    const keyOf = (setting) => `${setting.engine}|${setting.battery}|${data.switches.map((s) => positionOf(setting, s.id)).join("|")}`;
    const solved = (regime, setting) => {
      const key = `${regime}|${keyOf(setting)}`;
      if (!known.has(key)) { known.set(key, regimes[regime](setting)); }
      return known.get(key);
    };
    const begun = (regime, setting) => {
      const values = plainValues(setting, regime), stray = loose(values.gr, values.gi);
      return { values, stray, shunts: change(fault, regime, setting, values) };
    };
    const finished = (regime, run, values, own) => {
      const amps = new Float64Array(list.length), ampsIm = new Float64Array(list.length);
      list.forEach((b, i) => {
        const vr = run.vr[b.a] - run.vr[b.b] - values.emf[i], vi = run.vi[b.a] - run.vi[b.b];
        amps[i] = own?.has(i) ? own.get(i) : values.gr[i] * vr - values.gi[i] * vi;
        ampsIm[i] = values.gr[i] * vi + values.gi[i] * vr;
      });
      /* one battery, drawn as two branches */
      uptakeOf.forEach((i, battery) => { amps[battery] += amps[i]; amps[i] = 0; });
      return { regime, ...run, amps, ampsIm, g: values.gr };
    };

    const newton = (regime, setting, emf, pulled) => {
      const { values, stray, shunts } = begun(regime, setting), laws = lawsOf[regime];
      let v = laws.map((i) => list[i].kind === "filament" ? list[i].volts : 0), run, amps = new Map();
      for (let step = 0; step < 80; step += 1) {
        const drive = new Float64Array(list.length);
        amps = new Map();
        laws.forEach((i, n) => {
          const b = list[i], alive = !killed.has(i) && !(b.kind === "charger" && !(emf[i] > 0)) && !(b.kind === "uptake" && !setting.battery);
          const [current, slope] = alive ? law(b, v[n], emf[i], pulled.has(i)) : [0, 0];
          values.gr[i] = slope; values.gi[i] = 0; drive[i] = slope * v[n] - current;
        });
        run = inject(values, plan, shunts, stray, drive);
        let far = false;
        v = laws.map((i, n) => {
          const fresh = run.vr[list[i].a] - run.vr[list[i].b], limit = Math.max(20 * K.bend_v, K.diode_v) * 0.8 ** Math.max(0, step - 30);
          amps.set(i, values.gr[i] * fresh - drive[i]);
          far = far || Math.abs(fresh - v[n]) > 1e-6;
          return step < 4 ? fresh : v[n] + Math.min(limit, Math.max(-limit, fresh - v[n]));
        });
        if (!far) { break; }
      }
      return { ...finished(regime, run, values, amps), pulled };
    };
    const pullOf = (run) => new Set(list.flatMap((b, i) => {
      if (b.kind !== "relay-contact") { return []; }
      const coil = list[b.follows], on = Math.abs(run.vr[coil.a] - run.vr[coil.b]) >= b.volts && !killed.has(b.follows);
      return on !== b.rests ? [i] : [];
    }));
    const same = (one, two) => one.size === two.size && [...one].every((i) => two.has(i));
    const dc = (setting) => {
      const emf = chargers(setting);
      let pulled = rest, run;
      for (let flips = 0; flips < 10; flips += 1) {
        run = newton("dc", setting, emf, pulled);
        const after = pullOf(run);
        if (same(after, pulled)) { return run; }
        pulled = after;
      }
      return { ...run, chatters: true };
    };
    const chargers = (setting) => {
      const emf = new Float64Array(list.length);
      if (setting.engine === "still") { return emf; }
      list.forEach((b, i) => {
        if (b.kind !== "charger") { return; }
        if (b.follows < 0) { emf[i] = setting.engine === "running" ? b.top : 0; return; }
        const rms = across(chord(setting, rest, "rest"), list[b.follows].a, list[b.follows].b);
        emf[i] = Math.min(b.top, Math.max(0, rms * b.factor - K.junction_v * (b.factor > 0.6 ? 2 : 0.5)));
      });
      return emf;
    };
    const chord = (setting, pulled, name) => {
      const key = `chord|${name}|${keyOf(setting)}`;
      if (!known.has(key)) { known.set(key, phasors(setting, pulled)); }
      return known.get(key);
    };
    const phasors = (setting, pulled) => {
      const { values, stray, shunts } = begun("ac", setting), laws = lawsOf.ac.filter((i) => list[i].kind !== "relay-contact");
      lawsOf.ac.forEach((i) => { if (list[i].kind === "relay-contact") { values.gr[i] = pulled.has(i) && !killed.has(i) ? 1 / list[i].ohm : 0; } else if (killed.has(i)) { values.gr[i] = 0; } });
      const live = laws.filter((i) => !killed.has(i)), damping = new Map(), before = new Map();
      let run;
      for (let step = 0; step < 160; step += 1) {
        run = inject(values, plan, shunts, stray, null);
        let far = false;
        const moves = live.map((i) => {
          const b = list[i], size = Math.max(Math.hypot(run.vr[b.a] - run.vr[b.b], run.vi[b.a] - run.vi[b.b]), 1e-6);
          const [current, slope] = law(b, size, 0, false), wanted = current / size, steep = slope / wanted, gap = Math.log(wanted / values.gr[i]);
          far = far || Math.abs(gap) > 1e-5;
          const load = steep > 1 ? values.gr[i] * impedance(run, b.a, b.b) : 0;
          const turned = gap * (before.get(i) ?? 0) < 0;
          damping.set(i, turned ? 0.5 * (damping.get(i) ?? 1) : Math.min(1.2 * (damping.get(i) ?? 1), 1));
          before.set(i, gap);
          return [i, Math.exp(Math.min(3, Math.max(-3, gap * damping.get(i) / (1 + Math.max(steep - 1, 0) * Math.min(load, 1)))))];
        });
        if (!far) { break; }
        moves.forEach(([i, by]) => { values.gr[i] *= by; });
      }
      return finished("ac", run, values, null);
    };
    const ac = (setting) => chord(setting, setting.battery ? solved("dc", setting).pulled : rest, setting.battery ? "dc" : "rest");
    const pulse = (setting) => {
      const { values, stray, shunts } = begun("pulse", setting), drive = new Float64Array(list.length), full = plainValues(setting, "pulse").gr;
      list.forEach((b, i) => { if (b.kind === "delivers" && setting.engine !== "still" && !killed.has(i) && (data.modules[b.owner] ?? []).every((need) => met(need, setting).level > 0)) { drive[i] = full[i] * b.volts; } });
      return finished("pulse", inject(values, plan, shunts, stray, drive), values, null);
    };
    const ohms = (setting) => {
      const { values, stray, shunts } = begun("ohms", setting);
      return { regime: "ohms", solve: factor(plan, values.gr, values.gi, stray, shunts) };
    };
    const regimes = { dc, ac, pulse, ohms };

    const across = (run, a, b) => run.regime === "ac" ? Math.hypot(run.vr[a] - run.vr[b], run.vi[a] - run.vi[b]) : run.vr[a] - run.vr[b];
    const impedance = (run, a, b) => {
      const xr = new Float64Array(count + 1), xi = new Float64Array(count + 1);
      xr[a] += 1; xr[b] -= 1;
      const { vr, vi } = run.solve(xr, xi);
      return Math.hypot(vr[a] - vr[b], vi[a] - vi[b]);
    };
    const at = (node) => node < 0 ? FRAME : node;
    const dead = (setting) => ({ ...withEngine(setting, "still"), battery: false });

    /* ---- conditions of functions and modules, as circuit/needs.py has them ---- */
    const met = (need, setting) => {
      const turned = withEngine(setting, need.when.engine ?? setting.engine);
      const then = { ...turned, positions: { ...turned.positions, ...need.when.positions }, battery: need.when.battery ?? setting.battery };
      const value = worth(need, then), reaches = (limit) => need.upward ? value >= limit : value <= limit;
      return { value, level: reaches(need.good) ? 2 : reaches(need.weak) ? 1 : 0 };
    };
    const worth = (need, setting) => {
      if (need.kind === "sound") { return need.owned.some((i) => killed.has(i)) ? 0 : 1; }
      if (need.kind === "ohms") { return impedance(solved("ohms", dead(setting)), at(need.pair[0]), at(need.pair[1])); }
      if (need.kind !== "share") { return across(solved(need.kind, setting), at(need.pair[0]), at(need.pair[1])); }
      const b = list[need.branch];
      if (killed.has(need.branch)) { return 0; }
      const direct = across(solved("dc", setting), b.a, b.b), turning = setting.engine === "still" ? 0 : across(solved("ac", setting), b.a, b.b);
      return Math.hypot(direct, turning) / need.rated;
    };

    return {
      killed,
      /** Volts of every node, amps of every branch: dc, ac or pulse. */
      solved,
      /** Volts between two nodes (-1 for the frame): signed, RMS in ac. */
      volts: (regime, setting, a, b) => across(solved(regime, setting), at(a), at(b)),
      /** What a meter is fed through, ohm. */
      source: (regime, setting, a, b) => impedance(solved(regime, setting), at(a), at(b)),
      /** DC volts between two nodes with a resistance held to them. */
      held: (setting, a, b, ohm) => machine({ ...fault, changes: [...fault.changes, { mode: SHUNT, branch: -1, a, b, value: ohm }] }).volts("dc", setting, a, b),
      /** Ohms between two nodes of the dead circuit. */
      ohms: (setting, a, b) => impedance(solved("ohms", dead(setting)), at(a), at(b)),
      met,
      /** How well a function works in a setting: 0 fails, 1 weakly, 2 works. */
      level: (name, setting) => Math.min(2, ...data.functions.find((f) => f.id === name).needs.map((need) => met(need, setting).level)),
    };
  };
  return { machine, list, FRAME, positionOf, withEngine, filament };
};
