"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const WIDEST = 26; // of the crowd to each side of the track, points of the chart like all lengths here
  const LEAST = 3;
  const ROOM = 3.2; // square points of water that a speck is given
  const BIN = 3; // along the track, for counting how crowded it is
  const BEND = 12; // the track's small turns are smoothed over so much
  const GOLDEN = 0.6180339887498949; // steps of it fill a width evenly
  const GLIDE_MS = 500;
  const DAY_MS = 900;
  const QUIET_MS = 350; // a day is told aloud once the slider has rested so long

  const { days, fleet } = JSON.parse(document.getElementById("data").textContent);
  const find = (name) => document.getElementById(name);
  const slider = find("day");
  const last = days.length - 1;
  const calm = matchMedia("(prefers-reduced-motion: reduce)");

  // ---- the track on the chart

  const knots = Array.from({ length: fleet.nodes.length / 2 }, (_, n) => [fleet.nodes[2 * n] / 10, fleet.nodes[2 * n + 1] / 10]);
  const pieces = knots.length - 1;
  const runs = [0];
  for (let n = 1; n <= pieces; n++) {
    runs.push(runs[n - 1] + Math.hypot(knots[n][0] - knots[n - 1][0], knots[n][1] - knots[n - 1][1]));
  }
  const bend = Math.max(1, (BEND * pieces) / Math.max(runs[pieces], 1));

  function between(list, place) {
    const at = Math.min(Math.max(place, 0), pieces);
    const n = Math.min(Math.floor(at), pieces - 1);
    return [list[n], list[n + 1], at - n];
  }
  function runAt(share) {
    const [a, b, f] = between(runs, share * pieces);
    return a + (b - a) * f;
  }
  function point(place) {
    const [a, b, f] = between(knots, place);
    return [a[0] + (b[0] - a[0]) * f, a[1] + (b[1] - a[1]) * f];
  }
  function abeam(share, off) {
    const place = share * pieces;
    const [x, y] = point(place);
    const [ax, ay] = point(place - bend);
    const [bx, by] = point(place + bend);
    const far = Math.hypot(bx - ax, by - ay) || 1;
    return [x - (off * (by - ay)) / far, y + (off * (bx - ax)) / far];
  }

  // ---- the crossings

  const bytes = Uint8Array.from(atob(fleet.places), (letter) => letter.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  const share = (day, boat) => view.getUint16(2 * (day * fleet.drawn + boat), true) / fleet.whole;
  const side = Array.from({ length: fleet.drawn }, (_, boat) => 2 * ((boat * GOLDEN) % 1) - 1);

  function sharesAt(time) {
    const day = Math.min(Math.floor(time), Math.max(last - 1, 0));
    const next = Math.min(day + 1, last);
    const f = Math.min(time - day, 1);
    return side.map((_, boat) => share(day, boat) * (1 - f) + share(next, boat) * f);
  }
  // Half the width of the crowd by bins along the track: room for every speck, and no more than there is.
  function widths(atSea, widest) {
    const counts = new Array(Math.ceil(runs[pieces] / BIN) + 3).fill(0);
    atSea.forEach(([along]) => counts[Math.floor(runAt(along) / BIN) + 1]++);
    const eased = counts.map((_, at) => [-2, -1, 0, 1, 2].reduce((sum, off) => sum + (counts[at + off] || 0) / 5, 0));
    return eased.map((n) => widest * (1 - Math.exp((-n * ROOM) / (2 * BIN * widest))));
  }
  // The specks of those at sea, the crowd no wider than 8 in 10 of it are long: off the departure it is small.
  function crowd(shares, [least, , most]) {
    const atSea = shares.map((along, boat) => [along, side[boat]]).filter(([along]) => along > 0 && along < 1);
    const wide = widths(atSea, Math.min(WIDEST, Math.max(LEAST, (runAt(most) - runAt(least)) / 2)));
    const specks = atSea.map(([along, to]) => abeam(along, to * wide[Math.floor(runAt(along) / BIN) + 1]));
    return { path: specks.map(([x, y]) => `M${x.toFixed(1)} ${y.toFixed(1)}h0`).join(""), reach: Math.max(LEAST, ...wide) };
  }
  function spreadAt(time) {
    const day = Math.min(Math.floor(time), last);
    const next = Math.min(day + 1, last);
    return fleet.spread[day].map((along, end) => along + (fleet.spread[next][end] - along) * (time - day));
  }
  function bracket(from, to, off) {
    const steps = Math.max(2, Math.round((runAt(to) - runAt(from)) / 2));
    const line = Array.from({ length: steps + 1 }, (_, n) => abeam(from + ((to - from) * n) / steps, off));
    const whole = [abeam(from, off - 4), ...line, abeam(to, off - 4)];
    return `M${whole.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}`;
  }

  // ---- what is drawn over the chart and the fans

  function shape(parent, name, kind, attributes = {}) {
    const made = document.createElementNS(SVG, name);
    made.setAttribute("class", kind);
    Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
    parent.append(made);
    return made;
  }
  const chart = document.querySelector(".chart svg");
  const over = shape(chart, "g", "over", { "clip-path": "url(#frame)", "aria-hidden": "true" });
  const specks = shape(over, "path", "specks");
  const spread = shape(over, "path", "spread");
  const middle = shape(over, "circle", "middle", { r: 3.4 });
  chart.querySelectorAll("text").forEach((text) => chart.append(text)); // names lie on top

  const cursors = Array.from(document.querySelectorAll(".fan[data-last]"), (fan) => {
    const { left, right, top, foot, last: end } = fan.dataset;
    const line = shape(fan.querySelector("svg"), "line", "cursor", { y1: top, y2: foot });
    return { line, left: +left, wide: right - left, end: +end };
  });

  let shownTime = 0;
  function draw(time) {
    shownTime = time;
    const [least, typical, most] = spreadAt(time);
    const { path, reach } = crowd(sharesAt(time), [least, typical, most]);
    specks.setAttribute("d", path);
    const running = typical > 0 && least < 1;
    spread.setAttribute("d", running ? bracket(least, most, reach + 5) : "");
    const [x, y] = point(typical * pieces);
    middle.setAttribute("cx", x.toFixed(1));
    middle.setAttribute("cy", y.toFixed(1));
    cursors.forEach(({ line, left, wide, end }) => {
      line.setAttribute("visibility", time <= end ? "visible" : "hidden");
      ["x1", "x2"].forEach((key) => line.setAttribute(key, (left + (wide * time) / end).toFixed(1)));
    });
  }
  let frame = 0;
  function glide(to) {
    cancelAnimationFrame(frame);
    if (calm.matches || document.hidden) return draw(to);
    const from = shownTime;
    const begins = performance.now();
    const step = (now) => {
      const done = Math.min(Math.max((now - begins) / GLIDE_MS, 0), 1);
      draw(done < 1 ? from + (to - from) * done * (2 - done) : to);
      if (done < 1) frame = requestAnimationFrame(step);
    };
    frame = requestAnimationFrame(step);
  }

  // ---- what is said of a day

  const cell = (words) => {
    const made = document.createElement("td");
    made.dir = "auto";
    made.textContent = words;
    return made;
  };
  function rota(watches, why) {
    const rows = watches.map((watch) => {
      const row = document.createElement("tr");
      row.append(cell(`${watch.from_ship}–${watch.to_ship}`), cell(watch.on_watch), cell(watch.standby || "–"));
      return row;
    });
    find("rota").replaceChildren(...rows);
    find("rota").parentElement.hidden = !rows.length;
    find("no_watches").textContent = why;
  }
  let quiet = 0;
  function aloud(words) {
    clearTimeout(quiet);
    quiet = setTimeout(() => (find("aloud").textContent = words), QUIET_MS);
  }
  function tell(day) {
    const { words, watches, no_watches: why } = days[day];
    document.querySelectorAll("[data-say]").forEach((place) => (place.textContent = words[place.dataset.say] || ""));
    rota(watches, why);
    document.querySelectorAll("tr[aria-current]").forEach((row) => row.removeAttribute("aria-current"));
    document.querySelector(`tr[data-day="${day}"]`).setAttribute("aria-current", "true");
    slider.setAttribute("aria-valuetext", `${words.title}, ${words.date}`);
    find("before").setAttribute("aria-disabled", day === 0);
    find("after").setAttribute("aria-disabled", day === last);
    if (!timer) aloud(words.aloud);
  }
  function show(day) {
    slider.value = day;
    tell(day);
    glide(day);
  }

  // ---- reins

  let timer = 0;
  function stop() {
    clearInterval(timer);
    timer = 0;
    find("sail").textContent = "Sail on";
    aloud(days[+slider.value].words.aloud);
  }
  function sail() {
    if (timer) return stop();
    if (+slider.value === last) show(0);
    find("sail").textContent = "Stop";
    timer = setInterval(() => {
      show(+slider.value + 1);
      if (+slider.value === last) stop();
    }, DAY_MS);
  }
  function step(by) {
    if (timer) stop();
    show(Math.min(Math.max(+slider.value + by, 0), last));
  }
  slider.addEventListener("input", () => step(0));
  find("before").addEventListener("click", () => step(-1));
  find("after").addEventListener("click", () => step(1));
  find("sail").addEventListener("click", sail);
  function dress(night) {
    document.documentElement.classList.toggle("night", night);
    document.documentElement.classList.toggle("day", !night);
    find("dress").textContent = night ? "Day dress" : "Night dress";
  }
  find("dress").addEventListener("click", () => dress(!document.documentElement.classList.contains("night")));

  document.documentElement.classList.add("moving");
  dress(matchMedia("(prefers-color-scheme: dark)").matches); // a phone that is set dark is read in the dark
  draw(+slider.value);
  tell(+slider.value);
})();
