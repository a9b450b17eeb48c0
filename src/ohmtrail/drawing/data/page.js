"use strict";
(() => {
  const view = document.getElementById("view"), said = document.getElementById("said");
  const svg = [...view.querySelectorAll("svg")].find((one) => getComputedStyle(one).visibility !== "hidden");
  const size = { w: svg.viewBox.baseVal.width, h: svg.viewBox.baseVal.height };
  let x = 0, y = 0, k = 1;
  const show = () => { svg.style.transform = `translate(${x}px,${y}px) scale(${k})`; };
  const zoom = (factor, cx, cy) => {
    const next = Math.min(6, Math.max(0.05, k * factor));
    x = cx - (cx - x) * next / k; y = cy - (cy - y) * next / k; k = next; show();
  };
  const fit = () => {
    const across = view.clientWidth / size.w, down = view.clientHeight / size.h;
    const long = across > 2 * down; // a ladder is read from its top
    k = long ? Math.min(across, 1.6) : Math.min(across, down);
    x = (view.clientWidth - size.w * k) / 2; y = long ? 0 : (view.clientHeight - size.h * k) / 2; show();
  };
  const titleOf = (node) => { const t = node.querySelector(":scope > title"); return t ? t.textContent : ""; };
  const clear = () => {
    svg.classList.remove("picked");
    svg.querySelectorAll(".on").forEach((node) => node.classList.remove("on"));
    said.textContent = "Tap a lead or a part.";
  };
  const box = (node) => node.getBoundingClientRect();
  const endsOf = (lead) => (lead.dataset.ends || "").split(" ");
  const pick = (node) => {
    const again = node.classList.contains("chosen");
    svg.querySelectorAll(".chosen").forEach((other) => other.classList.remove("chosen"));
    clear();
    if (again) { return; }
    node.classList.add("chosen");
    svg.classList.add("picked");
    const leads = [...svg.querySelectorAll(".lead")], parts = [...svg.querySelectorAll(".part")];
    let on;
    if (node.classList.contains("lead")) {
      on = leads.filter((lead) => lead === node || (node.dataset.net && lead.dataset.net === node.dataset.net));
    } else {
      on = leads.filter((lead) => endsOf(lead).includes(node.dataset.id));
      node.classList.add("on");
    }
    const kept = new Set(on.flatMap(endsOf));
    on.forEach((lead) => lead.classList.add("on"));
    parts.filter((part) => kept.has(part.dataset.id)).forEach((part) => part.classList.add("on"));
    said.textContent = titleOf(node);
  };
  svg.querySelectorAll(".lead,.part").forEach((node) => {
    node.setAttribute("tabindex", "0");
    node.setAttribute("role", "button");
    node.setAttribute("aria-label", titleOf(node));
    node.addEventListener("keydown", (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); pick(node); } });
    if (node.classList.contains("lead")) {
      const twin = node.querySelector("path").cloneNode();
      twin.setAttribute("class", "touch");
      node.appendChild(twin);
    }
  });
  const held = new Map();
  let moved = 0, spread = 0;
  view.addEventListener("pointerdown", (event) => { held.set(event.pointerId, event); moved = 0; spread = 0; });
  view.addEventListener("pointermove", (event) => {
    const last = held.get(event.pointerId);
    if (!last) { return; }
    held.set(event.pointerId, event);
    const at = [...held.values()];
    if (at.length === 1) {
      const dx = event.clientX - last.clientX, dy = event.clientY - last.clientY;
      moved += Math.abs(dx) + Math.abs(dy); x += dx; y += dy; show();
    } else {
      const far = Math.hypot(at[0].clientX - at[1].clientX, at[0].clientY - at[1].clientY), corner = box(view);
      if (spread) { zoom(far / spread, (at[0].clientX + at[1].clientX) / 2 - corner.left, (at[0].clientY + at[1].clientY) / 2 - corner.top); }
      spread = far; moved += 10;
    }
  });
  const drop = (event) => { held.delete(event.pointerId); spread = 0; };
  view.addEventListener("pointerup", (event) => {
    drop(event);
    if (moved > 6) { return; }
    const node = event.target.closest(".lead,.part");
    if (node) { pick(node); } else { svg.querySelectorAll(".chosen").forEach((other) => other.classList.remove("chosen")); clear(); }
  });
  view.addEventListener("pointercancel", drop);
  view.addEventListener("pointerleave", drop);
  view.addEventListener("wheel", (event) => {
    event.preventDefault();
    const corner = box(view);
    zoom(Math.exp(-event.deltaY / 500), event.clientX - corner.left, event.clientY - corner.top);
  }, { passive: false });
  const middle = (factor) => zoom(factor, view.clientWidth / 2, view.clientHeight / 2);
  document.getElementById("fit").addEventListener("click", fit);
  document.getElementById("in").addEventListener("click", () => middle(1.4));
  document.getElementById("out").addEventListener("click", () => middle(1 / 1.4));
  window.addEventListener("resize", fit);
  window.matchMedia("(max-width:640px)").addEventListener("change", () => location.reload());
  fit();
})();
