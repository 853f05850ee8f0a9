"use strict";
(() => {
  const find = (name) => document.getElementById(name);
  const headers = () => JSON.parse(document.body.getAttribute("hx-headers"));
  const root = document.documentElement;

  // ---- dress

  function dress(night) {
    root.classList.toggle("night", night);
    root.classList.toggle("day", !night);
    const button = find("dress");
    if (button) button.textContent = night ? "Day dress" : "Night dress";
    try { localStorage.setItem("dress", night ? "night" : "day"); } catch { /* then it is for this time only */ }
  }
  let worn = null;
  try { worn = localStorage.getItem("dress"); } catch { /* as the machine has it */ }
  dress(worn ? worn === "night" : matchMedia("(prefers-color-scheme: dark)").matches);

  // ---- what is pressed

  document.body.addEventListener("click", (event) => {
    const pressed = event.target.closest("button, .strip");
    if (!pressed) return;
    if (pressed.id === "dress") dress(!root.classList.contains("night"));
    if (pressed.id === "not-now") find("difference").replaceChildren();
    if (pressed.id === "show-elsewhere") showFacts();
    if (pressed.id === "week-beside") beside(`week:${find("week").value}`);
    if (pressed.dataset.group) atGroup(pressed.dataset.group);
    if (pressed.id === "strip") pickWeek(event);
  });
  function atGroup(name) {
    document.querySelectorAll(".groups button").forEach((button) => {
      button.toggleAttribute("aria-current", button.dataset.group === name);
      if (button.dataset.group === name) button.setAttribute("aria-current", "true");
    });
  }
  const group = () => document.querySelector(".groups [aria-current]")?.dataset.group || "voyage";
  function showFacts() {
    find("elsewhere").replaceChildren();
    htmx.ajax("GET", `/facts?group=${encodeURIComponent(group())}`, "#facts");
  }
  const beside = (which) => htmx.ajax("POST", "/job", { values: { name: "beside", which }, swap: "none", source: "#beside" });
  function pickWeek(event) {
    const box = event.target.closest(".strip").querySelector("svg").getBoundingClientRect();
    const [left, right] = [74 / 640, 1 - 8 / 640]; // of the strip's width: where its weeks begin and end
    const weeks = find("week").options.length;
    const share = ((event.clientX - box.left) / box.width - left) / (right - left);
    if (share >= 0 && share < 1) find("week").selectedIndex = Math.floor(share * weeks);
    find("week").focus();
  }

  // ---- news

  document.body.addEventListener("htmx:afterSettle", (event) => {
    const told = find("elsewhere");
    if (told?.firstElementChild?.dataset.elsewhere && !find("facts").contains(document.activeElement)) showFacts();
    if (event.target.id === "facts" || event.detail.target?.id === "facts") find("facts").focus({ preventScroll: true });
    if (event.detail.target?.id === "difference") find("difference-head")?.focus?.();
    fetchBoats();
  });
  let lost = 0;
  const again = (event) => {
    if (event.detail.elt?.id !== "pulse") return;
    find("closed").hidden = ++lost < 2;
    setTimeout(() => find("pulse") && htmx.trigger("#pulse", "load"), 1500);
  };
  ["htmx:sendError", "htmx:timeout", "htmx:responseError"].forEach((name) => document.body.addEventListener(name, again));
  document.body.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.successful && event.detail.elt?.id === "pulse") { lost = 0; find("closed").hidden = true; }
  });

  // ---- the waypoints on the chart

  const STEP = 1.5, FAR = 12, TRY_MS = 120, REST_MS = 700;
  let held = null, trying = 0, resting = 0;
  const over = () => document.querySelector("#chart .over");
  const ends = (mark) => [-1, 1].map((by) => find(`mark-${+mark.dataset.at + by}`)).filter(Boolean);
  function onChart(event) {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(over().getScreenCTM().inverse());
    return [point.x, point.y];
  }
  function place(mark, x, y) {
    const [left, top, right, bottom] = document.querySelector("#chart .sheet").dataset.frame.split(",").map(Number);
    x = Math.min(Math.max(x, left), right);
    y = Math.min(Math.max(y, top), bottom);
    Object.assign(mark.dataset, { x, y });
    mark.setAttribute("transform", `translate(${x} ${y})`);
    const [one, two] = ends(mark);
    const line = [one, mark, two].filter(Boolean).map((each) => `${each.dataset.x},${each.dataset.y}`);
    document.querySelector(".trial").setAttribute("points", line.join(" "));
  }
  const send = (path, values) => fetch(path, {
    method: "POST", headers: { ...headers(), "Content-Type": "application/x-www-form-urlencoded" }, body: new URLSearchParams(values),
  });
  function tryIt(mark) { // whether land lies on the legs, while it is still in the hand
    clearTimeout(trying);
    trying = setTimeout(async () => {
      const { at, x, y } = mark.dataset;
      const told = await (await send("/waypoint/try", { at, x, y })).json();
      const ashore = Object.entries(told.ashore);
      document.querySelector(".trial").classList.toggle("ashore", ashore.length > 0);
      find("trial-words").textContent = [told.position, ...ashore.map(([leg, words]) => `leg to ${+leg + 1}: ${words}`)].join("; ");
    }, TRY_MS);
  }
  function settle(mark) {
    clearTimeout(trying);
    clearTimeout(resting);
    const { at, x, y } = mark.dataset;
    htmx.ajax("POST", "/waypoint", { values: { do: "move", at, x, y }, target: "#waypoints-said" });
  }
  document.body.addEventListener("pointerdown", (event) => {
    const mark = event.target.closest?.(".mark");
    if (!mark || event.button) return;
    held = { mark, moved: false, pointer: event.pointerId };
    mark.setPointerCapture(event.pointerId);
    mark.focus({ preventScroll: true });
    event.preventDefault();
  });
  document.body.addEventListener("pointermove", (event) => {
    if (!held || event.pointerId !== held.pointer) return;
    held.moved = true;
    place(held.mark, ...onChart(event));
    tryIt(held.mark);
  });
  const let_go = (event) => {
    if (!held || event.pointerId !== held.pointer) return;
    const { mark, moved } = held;
    held = null;
    if (moved) settle(mark);
  };
  document.body.addEventListener("pointerup", let_go);
  document.body.addEventListener("pointercancel", let_go);
  const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  document.body.addEventListener("keydown", (event) => {
    const mark = event.target.closest?.(".mark");
    if (!mark) return;
    const way = WAYS[event.key], at = mark.dataset.at;
    if (way) {
      const by = event.shiftKey ? FAR : STEP;
      place(mark, +mark.dataset.x + by * way[0], +mark.dataset.y + by * way[1]);
      tryIt(mark);
      clearTimeout(resting);
      resting = setTimeout(() => settle(mark), REST_MS);
    } else if (event.key === "Enter") settle(mark);
    else if (event.key === "Insert" || event.key === "+") htmx.ajax("POST", "/waypoint", { values: { do: "add", at }, target: "#waypoints-said" });
    else if (event.key === "Delete") htmx.ajax("POST", "/waypoint", { values: { do: "remove", at }, target: "#waypoints-said" });
    else return;
    event.preventDefault();
  });

  // ---- the crossings, by day

  const GOLDEN = 0.6180339887498949; // steps of it fill a width evenly
  const WIDE = 16;
  let boats = null, other = null, have = "";
  async function fetchBoats() {
    const wanted = find("answer")?.dataset.boats || "";
    if (!find("day") || wanted === have) return draw();
    have = wanted;
    const told = await (await fetch("/boats", { headers: headers() })).json();
    [boats, other] = [told.boats, told.beside].map((each) => each && unpacked(each));
    find("day").max = boats ? boats.days : 0;
    if (boats && find("day").value === "0") find("day").value = Math.min(3, boats.days);
    draw();
  }
  function unpacked(told) {
    const bytes = Uint8Array.from(atob(told.places), (letter) => letter.charCodeAt(0));
    const view = new DataView(bytes.buffer);
    const share = (day, boat) => view.getUint16(2 * (day * told.drawn + boat), true) / told.whole;
    const last = told.nodes.length / 2 - 1;
    const node = (n) => [told.nodes[2 * n] / 10, told.nodes[2 * n + 1] / 10];
    const point = (run) => {
      const at = Math.min(Math.floor(run * last), last - 1), part = run * last - at;
      const [x, y] = node(at), [u, v] = node(at + 1);
      return [x + part * (u - x), y + part * (v - y), u - x, v - y];
    };
    return { ...told, share, point };
  }
  function specks(fleet, day, beside) {
    let path = "";
    for (let boat = 0; boat < fleet.drawn; boat++) {
      const run = fleet.share(day, boat);
      if (run >= 1) continue;
      const [x, y, ahead, down] = fleet.point(run);
      const long = Math.hypot(ahead, down) || 1, off = (((boat + 1) * GOLDEN) % 1 - 0.5) * WIDE;
      const at = `M${(x - (off * down) / long).toFixed(1)} ${(y + (off * ahead) / long).toFixed(1)}`;
      path += beside ? `${at}m-1.6 0a1.6 1.6 0 1 0 3.2 0a1.6 1.6 0 1 0-3.2 0` : `${at}h.01`;
    }
    return path;
  }
  const inOf = (fleet, day) => {
    let count = 0;
    for (let boat = 0; boat < fleet.drawn; boat++) count += fleet.share(day, boat) >= 1;
    return Math.round((100 * count) / fleet.drawn);
  };
  function draw() {
    if (!boats || !over()) return;
    const day = Math.min(+find("day").value, boats.days);
    document.querySelector(".specks").setAttribute("d", specks(boats, day, false));
    document.querySelector(".specks.beside").setAttribute("d", other ? specks(other, Math.min(day, other.days), true) : "");
    const spread = boats.spread[day];
    const middle = document.querySelector(".middle");
    if (spread) {
      const [x, y] = boats.point(Math.min(spread[1], 0.99999));
      Object.entries({ cx: x.toFixed(1), cy: y.toFixed(1), r: 5 }).forEach(([key, value]) => middle.setAttribute(key, value));
    }
    const words = `Day ${day}: ${inOf(boats, day)} of 100 are in${other ? `; of those beside, ${inOf(other, Math.min(day, other.days))}` : ""}.`;
    find("day-words").textContent = words;
    find("day").setAttribute("aria-valuetext", words);
  }
  find("day")?.addEventListener("input", draw);
  window.addEventListener("load", fetchBoats);
})();
