"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const RIDGE = { high: 112, top: 10, foot: 84, edge: 12 }; // pixels; the crowd stands on the foot
  const BIN = 5; // pixels of the ridge, over which the crowd is counted
  const TICKS = [5, 10, 20, 50, 100, 200, 250, 500, 1000];
  const TICK_APART = 78;
  const GOLDEN = 0.6180339887498949; // steps of it fill a height evenly
  const GLIDE_MS = 500;
  const DAY_MS = 900;
  const QUIET_MS = 350; // a day is told aloud once the slider has rested so long
  const NEARER = 1.6;
  const NEAREST = 40; // times the whole chart
  const MEAN_RADIUS_NM = 3440.07;

  const { days, track: drawn, planned, others, water, water_unit, moons, turns } = JSON.parse(document.getElementById("data").textContent);
  const find = (name) => document.getElementById(name);
  const slider = find("day");
  const last = days.length - 1;
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  const miles = (number) => Math.round(number).toLocaleString("en").replace("-", "−");

  // ---- the track on the chart

  let [track, knots, pieces] = [drawn, [], 0];
  function onto(way) {
    track = { ...drawn, ...way };
    knots = Array.from({ length: track.nodes.length / 2 }, (_, n) => [track.nodes[2 * n] / 10, track.nodes[2 * n + 1] / 10]);
    pieces = knots.length - 1;
  }
  onto(drawn);

  function point(share) {
    const at = Math.min(Math.max(share * pieces, 0), pieces);
    const n = Math.min(Math.floor(at), pieces - 1);
    const [a, b, f] = [knots[n], knots[n + 1], at - n];
    return [a[0] + (b[0] - a[0]) * f, a[1] + (b[1] - a[1]) * f];
  }
  const line = (points) => `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}`;
  function stretch(from, to) {
    const first = Math.floor(from * pieces) + 1;
    const inner = Array.from({ length: Math.max(0, Math.ceil(to * pieces) - first) }, (_, n) => knots[first + n]);
    return line([point(from), ...inner, point(to)]);
  }

  // ---- the crossings

  function opened(fleet) {
    const bytes = Uint8Array.from(atob(fleet.places), (letter) => letter.charCodeAt(0));
    const view = new DataView(bytes.buffer);
    const ranked = fleet.arrive.map((_, boat) => boat).sort((a, b) => (fleet.arrive[a] ?? 1e9) - (fleet.arrive[b] ?? 1e9));
    return { ...fleet, ranked, share: (day, boat) => view.getUint16(2 * (day * fleet.drawn + boat), true) / track.whole };
  }
  let boats = opened(planned);
  let chosen = others.findIndex((other) => other.planned);
  let picked = -1;
  let here = null; // where you are, and on the chart
  let ownSpot = null;

  function blend(time, of) {
    const day = Math.min(Math.floor(time), last);
    const next = Math.min(day + 1, last);
    const f = time - day;
    return of(day).map((value, at) => value + (of(next)[at] - value) * f);
  }
  const sharesAt = (time) => blend(time, (day) => boats.arrive.map((_, boat) => boats.share(day, boat)));
  const spreadAt = (time) => blend(time, (day) => boats.spread[day]);

  // ---- what is drawn

  function shape(parent, name, kind, attributes = {}) {
    const made = document.createElementNS(SVG, name);
    made.setAttribute("class", kind);
    Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
    parent.append(made);
    return made;
  }
  const set = (made, attributes) => Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
  const show = (made, is) => made.setAttribute("visibility", is ? "visible" : "hidden");

  const chart = document.querySelector(".chart svg");
  const over = shape(chart, "g", "over", { "clip-path": "url(#frame)", "aria-hidden": "true" });
  const way = shape(over, "path", "way");
  const spread = shape(over, "path", "spread");
  const middle = shape(over, "circle", "middle", { r: 3.4 });
  const cross = shape(over, "path", "picked");
  const own = shape(over, "path", "own");
  chart.querySelectorAll("text").forEach((text) => chart.append(text)); // names lie on top

  const ridge = document.querySelector("#ridge svg");
  const scale = shape(ridge, "g", "scale", { "aria-hidden": "true" });
  const crowd = shape(ridge, "path", "specks");
  const brace = shape(ridge, "path", "brace");
  const typical = shape(ridge, "path", "typical");
  const mark = shape(ridge, "circle", "picked", { r: 5 });
  const ownMark = shape(ridge, "path", "own");
  let wide = 0;
  let spots = [];

  const across = (share) => RIDGE.edge + share * (wide - 2 * RIDGE.edge);
  function rule() {
    wide = Math.max(find("ridge").clientWidth, 200);
    set(ridge, { viewBox: `0 0 ${wide} ${RIDGE.high}`, width: wide, height: RIDGE.high });
    scale.replaceChildren();
    set(shape(scale, "path", "foot"), { d: `M${across(0)} ${RIDGE.foot}H${across(1)}` });
    const step = TICKS.find((nm) => (nm / track.length_nm) * (wide - 2 * RIDGE.edge) >= TICK_APART) || 2000;
    for (let nm = 0; nm < track.length_nm - step / 2; nm += step) {
      const x = across(nm / track.length_nm);
      set(shape(scale, "path", "tick"), { d: `M${x} ${RIDGE.foot}v5` });
      write(nm ? miles(nm) : "0 miles", x, nm ? "middle" : "start");
    }
    write(track.distance, across(1), "end");
    set(shape(scale, "path", "tick"), { d: `M${across(1)} ${RIDGE.foot}v5` });
  }
  function write(words, x, anchor) {
    shape(scale, "text", "miles", { x: anchor === "start" ? x - 6 : anchor === "end" ? x + 6 : x, y: RIDGE.foot + 21, "text-anchor": anchor });
    scale.lastChild.textContent = words;
  }
  // Each dot at its place along the track, as high as the crowd there lets it; the highest crowd fills the height.
  function crowded(shares) {
    const counts = new Array(Math.ceil(wide / BIN) + 3).fill(0);
    const atSea = shares.map((share, boat) => [share, boat]).filter(([share]) => share > 0 && share < 1);
    atSea.forEach(([share]) => counts[Math.floor(across(share) / BIN) + 1]++);
    const eased = counts.map((_, at) => [-2, -1, 0, 1, 2].reduce((sum, off) => sum + (counts[at + off] || 0) / 5, 0));
    const tall = (RIDGE.foot - RIDGE.top) / Math.max(...eased, 6);
    return atSea.map(([share, boat]) => {
      const x = across(share);
      return [x, RIDGE.foot - 3 - (((boat + 1) * GOLDEN) % 1) * tall * eased[Math.floor(x / BIN) + 1], boat];
    });
  }

  const cursors = Array.from(document.querySelectorAll(".fan[data-last]"), (fan) => {
    const { left, right, top, foot, last: end } = fan.dataset;
    const made = shape(fan.querySelector("svg"), "line", "cursor", { y1: top, y2: foot });
    return { line: made, left: +left, wide: right - left, end: +end };
  });

  let shownTime = 0;
  function draw(time) {
    shownTime = time;
    const shares = sharesAt(time);
    const [least, half, most] = spreadAt(time);
    spots = crowded(shares);
    crowd.setAttribute("d", spots.map(([x, y]) => `M${x.toFixed(1)} ${y.toFixed(1)}h0`).join(""));
    const running = half > 0 && least < 1;
    spread.setAttribute("d", running ? stretch(least, most) : "");
    brace.setAttribute("d", running ? `M${across(least).toFixed(1)} ${RIDGE.foot}H${across(most).toFixed(1)}` : "");
    typical.setAttribute("d", `M${across(half).toFixed(1)} ${RIDGE.top}V${RIDGE.foot + 6}`);
    const size = 1 / nearness();
    const [x, y] = point(half);
    set(middle, { cx: x.toFixed(2), cy: y.toFixed(2), r: (3.4 * size).toFixed(2) });
    const spot = spots.find(([, , boat]) => boat === picked);
    show(mark, spot);
    if (spot) set(mark, { cx: spot[0].toFixed(1), cy: spot[1].toFixed(1) });
    const [px, py] = picked < 0 ? [0, 0] : point(shares[picked]);
    cross.setAttribute("d", picked < 0 ? "" : saltire(px, py, 4.2 * size));
    own.setAttribute("d", ownSpot ? plus(...ownSpot, 6 * size) : "");
    cursors.forEach(({ line: cursor, left, wide: room, end }) => {
      show(cursor, time <= end && atPlanned());
      ["x1", "x2"].forEach((key) => cursor.setAttribute(key, (left + (room * time) / end).toFixed(1)));
    });
  }
  const saltire = (x, y, r) => `M${x - r} ${y - r}L${x + r} ${y + r}M${x - r} ${y + r}L${x + r} ${y - r}`;
  const plus = (x, y, r) => `M${x - r} ${y}H${x + r}M${x} ${y - r}V${y + r}`;
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

  const atPlanned = () => chosen < 0 || others[chosen].planned;
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
  function wordsOf(day) {
    if (atPlanned()) return days[day].words;
    const [least, half, most] = boats.spread[day].map((share) => (1 - share) * track.length_nm);
    const inside = boats.arrive.filter((arrive) => arrive !== null && arrive <= day).length;
    const title = days[day].words.title;
    const words = { title, moment: others[chosen].after, date: "", go: miles(half), go_unit: "miles", at: "–" };
    words.go_range = `8 in 10: ${miles(most)} to ${miles(least)}`;
    words.in = `${Math.floor((100 * inside) / boats.drawn)}`;
    words.aloud = `${title} ${words.moment}. To go typically ${words.go} miles. ${words.in} of 100 are in.`;
    return words;
  }
  function tell(day) {
    const words = wordsOf(day);
    document.querySelectorAll("[data-say]").forEach((place) => (place.textContent = words[place.dataset.say] || ""));
    rota(days[day].watches, days[day].no_watches);
    document.querySelectorAll("tr[aria-current]").forEach((row) => row.removeAttribute("aria-current"));
    if (atPlanned()) document.querySelector(`tr[data-day="${day}"]`).setAttribute("aria-current", "true");
    slider.setAttribute("aria-valuetext", `${words.title}, ${words.date || words.moment}`);
    find("before").setAttribute("aria-disabled", day === 0);
    find("after").setAttribute("aria-disabled", day === last);
    tellOne();
    tellOwn();
    if (!timer) aloud(words.aloud);
  }
  function to(day) {
    slider.value = day;
    tell(day);
    glide(day);
  }

  // ---- one crossing

  const one = find("one");
  function tellOne() {
    if (picked < 0) return;
    const day = +slider.value;
    const arrive = boats.arrive[picked];
    const rank = boats.ranked.indexOf(picked);
    const left = (1 - boats.share(day, picked)) * track.length_nm;
    const now = arrive !== null && arrive <= day ? "in harbour" : `${miles(left)} miles to go`;
    const end = arrive === null ? "never arrives in these numbers" : `in harbour after ${arrive.toFixed(1)} days`;
    const amount = atPlanned() && water[picked] !== null ? water[picked] : undefined;
    const store = amount === undefined ? "" : amount < 0 ? `, ${miles(-amount)} ${water_unit} of water short` : `, ${miles(amount)} ${water_unit} of water left`;
    const words = `One crossing: ${now}; ${end}${store}. ${Math.round((100 * rank) / boats.drawn)} of 100 are quicker.`;
    find("told").textContent = words;
    one.value = rank;
    one.setAttribute("aria-valuetext", words);
  }
  function pick(boat) {
    picked = boat;
    tellOne();
    draw(shownTime);
  }
  one.addEventListener("input", () => pick(boats.ranked[+one.value]));
  function touched(event) {
    const box = ridge.getBoundingClientRect();
    const [x, y] = [event.clientX - box.left, event.clientY - box.top];
    const far = ([sx, sy]) => (sx - x) ** 2 + (sy - y) ** 2;
    if (spots.length) pick(spots.reduce((best, spot) => (far(spot) < far(best) ? spot : best))[2]);
  }
  ridge.addEventListener("pointerdown", touched);
  ridge.addEventListener("pointermove", (event) => event.buttons && touched(event));

  // ---- another departure, another track

  const buttons = Array.from(document.querySelectorAll(".starts button"));
  function leave(at) {
    chosen = at;
    boats = opened(atPlanned() ? planned : others[at].fleet);
    onto(others[at].track);
    way.setAttribute("d", others[at].track ? line(knots) : "");
    if (here) here.track = nearestOnTrack(here.place);
    rule();
    picked = -1;
    one.max = boats.drawn - 1;
    one.value = 0;
    find("told").textContent = "One crossing: touch it, or choose below from the quickest to the slowest.";
    find("drawn").textContent = miles(boats.drawn);
    document.documentElement.classList.toggle("elsewhere", !atPlanned());
    find("elsewhere").hidden = atPlanned();
    find("elsewhere").textContent = `${others[at].said} Water, food, battery and watches are those of the planned day and track only.`;
    buttons.forEach((button, number) => button.setAttribute("aria-pressed", number === at || (atPlanned() && others[number].planned)));
    tell(+slider.value);
    draw(+slider.value);
  }
  buttons.forEach((button, at) => button.addEventListener("click", () => leave(at)));

  // ---- nearer and farther

  const whole = chart.getAttribute("viewBox").split(" ").map(Number);
  let seen = [...whole];
  const nearness = () => whole[2] / seen[2];
  function look(x, y, times) {
    const wideNow = Math.min(Math.max(whole[2] / times, whole[2] / NEAREST), whole[2]);
    const high = (wideNow * whole[3]) / whole[2];
    const held = (at, room, least, most) => Math.min(Math.max(at - room / 2, least), least + most - room);
    seen = [held(x, wideNow, whole[0], whole[2]), held(y, high, whole[1], whole[3]), wideNow, high];
    chart.setAttribute("viewBox", seen.map((part) => part.toFixed(2)).join(" "));
    chart.classList.toggle("near", nearness() > 1.01);
    chart.style.setProperty("--near", 1 / nearness());
    find("farther").setAttribute("aria-disabled", nearness() < 1.01);
    draw(shownTime);
  }
  function towards() {
    if (nearness() > 1.01) return [seen[0] + seen[2] / 2, seen[1] + seen[3] / 2];
    return point(spreadAt(shownTime)[1]);
  }
  find("nearer").addEventListener("click", () => look(...towards(), nearness() * NEARER));
  find("farther").addEventListener("click", () => look(...towards(), nearness() / NEARER));
  find("whole").addEventListener("click", () => look(0, 0, 1));
  let held = null;
  chart.addEventListener("pointerdown", (event) => {
    if (nearness() > 1.01) held = [event.clientX, event.clientY, seen[0] + seen[2] / 2, seen[1] + seen[3] / 2];
    if (held) chart.setPointerCapture(event.pointerId);
  });
  chart.addEventListener("pointermove", (event) => {
    if (!held) return;
    const per = seen[2] / chart.getBoundingClientRect().width;
    look(held[2] - (event.clientX - held[0]) * per, held[3] - (event.clientY - held[1]) * per, nearness());
  });
  ["pointerup", "pointercancel"].forEach((name) => chart.addEventListener(name, () => (held = null)));

  // ---- where you are

  const COORDINATE = /(\d{1,3})(?:[°\s]+(\d{1,2}(?:\.\d+)?)['′]?)?\s*([NSEW])/gi;
  function read(words) {
    const parts = [...words.replace(/,/g, ".").matchAll(COORDINATE)].map(([, degrees, minutes, side]) => {
      const size = +degrees + (+minutes || 0) / 60;
      return [/[sw]/i.test(side) ? -size : size, /[ns]/i.test(side)];
    });
    const [lat, lon] = [true, false].map((north) => parts.find(([, is]) => is === north)?.[0]);
    return parts.length === 2 && Math.abs(lat) < 90 && Math.abs(lon) <= 180 ? [lat, lon] : null;
  }
  function nearestOnTrack([lat, lon]) {
    const radians = Math.PI / 180;
    let best = [Infinity, 0];
    const flat = (n) => {
      const east = ((((track.lon[n] / 1000 - lon) % 360) + 540) % 360) - 180;
      return [east * Math.cos(lat * radians) * radians * MEAN_RADIUS_NM, (track.lat[n] / 1000 - lat) * radians * MEAN_RADIUS_NM];
    };
    for (let n = 0; n < pieces; n++) {
      const [[ax, ay], [bx, by]] = [flat(n), flat(n + 1)];
      const size = (bx - ax) ** 2 + (by - ay) ** 2 || 1;
      const f = Math.min(Math.max(-(ax * (bx - ax) + ay * (by - ay)) / size, 0), 1);
      const off = Math.hypot(ax + (bx - ax) * f, ay + (by - ay) * f);
      if (off < best[0]) best = [off, (n + f) / pieces];
    }
    return best;
  }
  function onChart([lat, lon]) {
    const [south, west, north, east] = track.grid.box;
    const side = Math.sqrt(track.grid.xy.length / 2);
    const up = ((lat - south) / (north - south)) * (side - 1);
    const over360 = west + ((((lon - west) % 360) + 360) % 360);
    const right = ((over360 - west) / (east - west)) * (side - 1);
    if (up < 0 || right < 0 || up > side - 1 || right > side - 1) return null;
    const [row, column] = [Math.min(Math.floor(up), side - 2), Math.min(Math.floor(right), side - 2)];
    const [u, r] = [up - row, right - column];
    const at = (down, along, part) => track.grid.xy[2 * ((row + down) * side + column + along) + part] / 10;
    return [0, 1].map((part) => (at(0, 0, part) * (1 - r) + at(0, 1, part) * r) * (1 - u) + (at(1, 0, part) * (1 - r) + at(1, 1, part) * r) * u);
  }
  function tellOwn() {
    if (!here) return;
    const [off, share] = here.track;
    const day = +slider.value;
    const ahead = boats.arrive.filter((_, boat) => boats.share(day, boat) > share).length;
    find("own_told").textContent =
      `${miles((1 - share) * track.length_nm)} miles to go along the track, ${miles(off)} off it. By day ${day} ` +
      `${Math.round((100 * ahead) / boats.drawn)} of 100 crossings were farther on.`;
  }
  function lay() {
    const place = read(find("own").value);
    here = place && { place, track: nearestOnTrack(place) };
    const spot = place && onChart(place);
    ownSpot = spot;
    draw(shownTime);
    ownMark.setAttribute("d", here ? `M${across(here.track[1])} ${RIDGE.top - 8}V${RIDGE.foot}` : "");
    find("own_told").textContent = place ? "" : "Write it as 33 10.5S 016 20.0E.";
    tellOwn();
  }
  find("lay").addEventListener("click", lay);
  find("own").addEventListener("keydown", (event) => event.key === "Enter" && lay());

  // ---- reins

  let timer = 0;
  function stop() {
    clearInterval(timer);
    timer = 0;
    find("sail").textContent = "Sail on";
    aloud(wordsOf(+slider.value).aloud);
  }
  function sail() {
    if (timer) return stop();
    if (+slider.value === last) to(0);
    find("sail").textContent = "Stop";
    timer = setInterval(() => {
      to(+slider.value + 1);
      if (+slider.value === last) stop();
    }, DAY_MS);
  }
  function step(by) {
    if (timer) stop();
    to(Math.min(Math.max(+slider.value + by, 0), last));
  }
  slider.addEventListener("input", () => step(0));
  find("before").addEventListener("click", () => step(-1));
  find("after").addEventListener("click", () => step(1));
  find("sail").addEventListener("click", sail);
  [...moons, ...turns].forEach(({ day, sign, words }) => {
    const made = document.createElement("span");
    made.textContent = sign;
    made.title = words;
    made.className = sign === "▲" ? "turn" : "moon";
    made.style.left = `calc(.55rem + (100% - 1.1rem) * ${Math.min(day / Math.max(last, 1), 1)})`;
    find("marks").append(made);
  });
  function dress(night) {
    document.documentElement.classList.toggle("night", night);
    document.documentElement.classList.toggle("day", !night);
    find("dress").textContent = night ? "Day dress" : "Night dress";
  }
  find("dress").addEventListener("click", () => dress(!document.documentElement.classList.contains("night")));

  document.documentElement.classList.add("moving");
  dress(matchMedia("(prefers-color-scheme: dark)").matches); // a phone that is set dark is read in the dark
  one.max = boats.drawn - 1;
  find("farther").setAttribute("aria-disabled", true);
  rule();
  addEventListener("resize", () => (rule(), draw(shownTime)));
  draw(+slider.value);
  tell(+slider.value);
})();
