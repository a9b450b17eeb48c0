"use strict";
/* The page works without this. With it: the pad, terminals that can be tapped, answers that are kept while the
   link is down and sent once it is back, and the readings of other devices. */
(() => {
  const KEEP = "ohmtrail-unsent", EVERY_MS = 2500, WAIT_MS = 60000;
  const $ = (what, within = document) => within.querySelector(what);
  const all = (what, within = document) => [...within.querySelectorAll(what)];
  document.documentElement.classList.add("scripted");

  /* ---- what was answered and is not known to have arrived ---- */
  let unsent = [];
  const load = () => { try { unsent = JSON.parse(localStorage.getItem(KEEP) || "[]"); } catch { /* kept in memory */ } };
  const keep = () => { try { localStorage.setItem(KEEP, JSON.stringify(unsent)); } catch { /* kept in memory */ } };
  const mark = () => [...crypto.getRandomValues(new Uint8Array(12))].map((n) => n.toString(16).padStart(2, "0")).join("");
  let sending = false, refused = false;

  const told = (text, button) => {
    const line = $("#link");
    line.hidden = !text;
    line.textContent = text || "";
    if (button) line.append(button);
  };
  const tell = () => {
    if (!unsent.length) { if (!sending) told(""); return; }
    const words = unsent.map((item) => item.said).join(", ");
    told(refused
      ? `Kept, not sent: ${words}. The computer was started again: open the address or scan the code it shows now.`
      : `No link. Kept and sent later: ${words}`);
  };

  const put = (text, url) => {
    const next = new DOMParser().parseFromString(text, "text/html"), page = $("#page", next);
    if (!page) { location.reload(); return; }
    document.title = next.title;
    const here = $("#page"), strip = $(".strip", next), tabs = $(".tabs", next);
    here.replaceWith(document.adoptNode(page));
    if (strip && $(".strip")) $(".strip").replaceWith(document.adoptNode(strip));
    if (tabs && $(".tabs")) $(".tabs").replaceWith(document.adoptNode(tabs));
    if (url && url !== location.href) history.pushState(null, "", url);
    ready();
    scrollTo(0, 0);
    const first = $("#sorry") || $("h1", page);
    if (first) { first.tabIndex = -1; first.focus({ preventScroll: true }); }
  };

  const fetched = async (url, more = {}) => {
    const stop = new AbortController(), late = setTimeout(() => stop.abort(), WAIT_MS);
    try { return await fetch(url, { credentials: "same-origin", signal: stop.signal, ...more }); } finally { clearTimeout(late); }
  };

  const flush = async () => {
    if (sending) return;
    load();
    sending = true;
    document.body.classList.add("busy");
    try {
      while (unsent.length) {
        const item = unsent[0];
        const answer = await fetched(item.url, { method: "POST", body: new URLSearchParams(item.form) });
        if (answer.status === 403) { refused = true; break; }
        if (answer.status >= 500) break;
        refused = false;
        const text = await answer.text();
        load();
        unsent = unsent.filter((other) => other.form.token !== item.form.token);
        keep();
        const job = $("#page")?.dataset.job;
        if (job && item.url.startsWith(`/job/${encodeURIComponent(job)}/`)) put(text, answer.redirected ? answer.url : "");
      }
    } catch { /* no link: all is kept */ } finally {
      sending = false;
      document.body.classList.remove("busy");
      tell();
    }
  };

  const send = (form, button) => {
    const data = Object.fromEntries(new FormData(form));
    const value = $("[data-pad] input", form), unit = $("[data-unit][aria-pressed=true]", form);
    if (button?.dataset.line) data.line = button.dataset.line;
    else if (value) data.line = value.value.trim() + (unit?.dataset.unit && /\d$/.test(value.value.trim()) ? unit.dataset.unit : "");
    if (!data.line) { value?.focus(); return; }
    const said = [data.before, data.line, data.tail].filter(Boolean).join(" ");
    load();
    const url = new URL(form.action).pathname, same = ["line", "before", "tail", "answers"];
    const twin = (item) => item.url === url && same.every((name) => (item.form[name] || "") === (data[name] || ""));
    if (unsent.some((item) => item.form.token === data.token || twin(item))) return flush();
    unsent.push({ url, form: data, said });
    keep();
    $("[name=token]", form).value = mark();
    return flush();
  };

  /* ---- the pad ---- */
  const pad = (box) => {
    const value = $("input", box), form = box.closest("form");
    box.addEventListener("click", (event) => {
      const key = event.target.closest("button");
      if (!key) return;
      if (key.dataset.key) value.value += key.dataset.key;
      else if ("back" in key.dataset) value.value = value.value.slice(0, -1);
      else if ("unit" in key.dataset) {
        for (const other of all("[data-unit]", box)) other.setAttribute("aria-pressed", String(other === key));
      }
      value.dispatchEvent(new Event("input"));
    });
    value.addEventListener("keydown", (event) => {
      if (event.key === "Enter") { event.preventDefault(); send(form, null); }
    });
  };

  /* ---- terminals ---- */
  const picking = (box) => {
    const bar = $(".picked");
    if (!bar) return;
    /* with the plus at the frame it is the red probe that stays there */
    const chosen = { red: "", black: "" }, first = bar.dataset.first, second = first === "red" ? "black" : "red";
    const show = () => {
      for (const side of ["red", "black"]) {
        $(`[data-chosen=${side}]`, bar).textContent = chosen[side] || (side === second ? "frame" : "–");
        $(`[name=${side}]`, bar).value = chosen[side] || (side === second ? "frame" : "");
      }
      for (const disc of all(".point", box)) {
        disc.classList.toggle("is-red", disc.dataset.point === chosen.red);
        disc.classList.toggle("is-black", disc.dataset.point === chosen.black);
      }
    };
    const choose = (name) => {
      if (!chosen[first]) chosen[first] = name; else if (name !== chosen[first]) chosen[second] = name;
      show();
    };
    const near = (event) => all(".point", box).map((disc) => {
      const at = disc.getBoundingClientRect();
      return { name: disc.dataset.point, far: Math.hypot(event.clientX - at.left - at.width / 2, event.clientY - at.top - at.height / 2) };
    }).sort((a, b) => a.far - b.far);
    const ask = (found) => {
      $(".nearby")?.remove();
      const sheet = document.createElement("div");
      sheet.className = "nearby";
      for (const item of found) {
        const key = document.createElement("button");
        key.type = "button";
        key.textContent = item.name;
        key.addEventListener("click", () => { sheet.remove(); choose(item.name); });
        sheet.append(key);
      }
      document.body.append(sheet);
      $("button", sheet).focus();
    };
    box.addEventListener("click", (event) => {
      const found = near(event);
      if (!found.length || found[0].far > 34) return;
      const close = found.filter((item, at) => item.far < found[0].far + 9 && found.findIndex((other) => other.name === item.name) === at).slice(0, 5);
      $(".nearby")?.remove();
      if (close.length > 1) ask(close); else choose(found[0].name);
    });
    box.addEventListener("keydown", (event) => {
      if ((event.key === "Enter" || event.key === " ") && event.target.dataset?.point) { event.preventDefault(); choose(event.target.dataset.point); }
    });
    $("[data-clear]", bar).addEventListener("click", () => { chosen.red = chosen.black = ""; show(); });
    bar.addEventListener("submit", (event) => {
      if (chosen[first]) return;
      event.preventDefault();
      $(".hint").textContent = `No ${first} probe yet: tap a terminal in the picture first.`;
      $(".hint").scrollIntoView({ block: "nearest" });
    });
    show();
  };

  /* ---- a page, new or swapped in ---- */
  const wide = matchMedia("(min-width:1000px)");
  const filled = async (box) => {
    if (!wide.matches || box.dataset.done) return;
    box.dataset.done = "yes";
    try {
      const answer = await fetched(box.dataset.fill);
      if (answer.ok) box.append(document.adoptNode(new DOMParser().parseFromString(await answer.text(), "text/html").body.firstElementChild));
    } catch { delete box.dataset.done; }
  };
  function ready() {
    if (wide.matches) for (const tab of all(".tabs a[href$='/drawing']")) tab.href += "?kind=path";
    all("[data-pad]").forEach(pad);
    all("[data-pick]").forEach(picking);
    all("[data-fill]").forEach(filled);
    for (const list of all("[data-go]")) list.addEventListener("change", () => list.form.requestSubmit());
  }
  document.addEventListener("submit", (event) => {
    if (!event.target.matches("[data-send]")) return;
    event.preventDefault();
    send(event.target, event.submitter);
  });

  /* ---- other devices ---- */
  const look = async () => {
    if (document.hidden) return;
    if (unsent.length) { await flush(); return; }
    const page = $("#page");
    if (!page?.dataset.mark || sending) return;
    try {
      const answer = await fetched(`/job/${encodeURIComponent(page.dataset.job)}/state`);
      if (!answer.ok) return;
      const now = (await answer.json()).mark;
      if ($("#page") !== page || now === page.dataset.mark || sending) return;
      if ($("[data-pad] input", page)?.value || page.dataset.tab === "drawing" || page.contains(document.activeElement) && /INPUT|SELECT/.test(document.activeElement.tagName)) {
        const button = document.createElement("button");
        button.textContent = "show";
        button.addEventListener("click", () => location.reload());
        told("Something was added on another screen.", button);
        return;
      }
      const fresh = await fetched(location.href);
      if (fresh.ok && $("#page") === page && !sending) { const at = scrollY; put(await fresh.text(), ""); scrollTo(0, at); }
      told("");
    } catch { told("No link to the computer. What you enter is kept and sent later."); }
  };
  addEventListener("popstate", () => location.reload());
  addEventListener("online", flush);
  setInterval(look, EVERY_MS);
  load();
  ready();
  if (unsent.length) flush();
})();
