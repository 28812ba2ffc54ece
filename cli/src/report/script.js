"use strict";
(() => {
  const root = document.documentElement;
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const data = JSON.parse(document.getElementById("data").textContent);
  const inputs = all("input[data-group]");
  const visible = element => !element.closest(".off");
  let chosen = {};

  // Choices: which options are picked, and what is visible because of it.
  function readChoices() {
    chosen = {};
    for (const input of inputs) if (input.checked) (chosen[input.dataset.group] ??= new Set()).add(input.value);
  }
  const holds = condition => condition.split(";").every(part => {
    const [group, values] = part.split(":");
    return !chosen[group] || values.split("|").some(value => chosen[group].has(value));
  });
  function apply() {
    for (const element of all("[data-when]")) element.classList.toggle("off", !holds(element.dataset.when));
    root.dataset.view = [...(chosen.view ?? ["0"])][0];
    for (const figure of all("figure[data-map]")) paint(figure);
    for (const output of all("output")) output.textContent = "";
    for (const line of all(".crosshair")) line.classList.add("off");
  }
  document.addEventListener("change", event => {
    const { group } = event.target.dataset;
    if (!group) return;
    for (const twin of inputs) {
      if (twin.dataset.group === group && twin.value === event.target.value) twin.checked = event.target.checked;
    }
    readChoices();
    apply();
  });

  // Heat maps: neighbouring cells of one shade merged.
  const bandOf = (figure, map) => map.bands[[...(chosen[figure.dataset.band] ?? ["0"])][0]];
  // Level of a drawn cell: linear between the positions computed; NaN where there is none.
  function levelAt({ factor, columns, rows }, { level }, i, j) {
    const split = (index, count) => {
      const base = Math.max(0, Math.min(Math.floor(index / factor), count - 2));
      return [base, Math.min(base + 1, count - 1), index / factor - base];
    };
    const [i0, i1, u] = split(i, columns), [j0, j1, v] = split(j, rows), value = (a, b) => level[a * rows + b] ?? NaN;
    const between = (value(i0, j0) * (1 - u) + value(i1, j0) * u) * (1 - v) + (value(i0, j1) * (1 - u) + value(i1, j1) * u) * v;
    // Beside a blank the nearest value, or none, stands for what lies between.
    return Number.isNaN(between) ? value(u < 0.5 ? i0 : i1, v < 0.5 ? j0 : j1) : between;
  }
  function paint(figure) {
    const map = data.maps[figure.dataset.map], band = bandOf(figure, map);
    if (figure.shown === band) return;
    figure.shown = band;
    if (typeof band === "string") return colour(figure, map.ramp, band);
    const { x, y, low, high, ramp } = map, rows = y.length - 1, top = ramp.length - 1;
    const shade = (i, j) => {
      const share = ((levelAt(map, band, i, j) - band.mean) / 10 - low) / (high - low);
      return Number.isFinite(share) ? Math.round(Math.min(1, Math.max(0, share)) * top) : -1;
    };
    const shapes = ramp.map(() => "");
    for (let j = 0; j < rows; j++) {
      for (let i = 0, start = 0; i < x.length - 1; start = i) {
        const value = shade(i, j);
        while (i < x.length - 1 && shade(i, j) === value) i++;
        if (value >= 0) shapes[value] += `M${x[start]} ${y[j]}H${x[i]}V${y[j + 1]}H${x[start]}Z`;
      }
    }
    figure.querySelector(".cells").innerHTML = shapes.map((d, k) => d && `<path fill="${ramp[k]}" stroke="${ramp[k]}" d="${d}"/>`).join("");
  }
  // Shades of a body's triangles, one letter each, the first one "0".
  function colour(figure, ramp, shades) {
    const body = figure.querySelector(".body");
    if (!body.firstChild) body.innerHTML = document.getElementById(body.dataset.body).innerHTML;
    all(".body path", figure).forEach((path, k) => path.setAttribute("color", ramp[shades.charCodeAt(k) - 48] ?? "none"));
  }

  // Readouts.
  const number = (value, digits) => value.toFixed(digits).replace("-", "−");
  const significant = value => number(value, Math.max(0, 2 - Math.floor(Math.log10(Math.abs(value) || 1))));
  const hertz = f => f < 1000 ? `${significant(f)} Hz` : `${significant(f / 1000)} kHz`;
  const spot = (svg, event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const say = (svg, parts) => { svg.closest("figure").querySelector("output").innerHTML = parts.filter(Boolean).join(" · "); };
  const safe = text => text.replace(/[&<>]/g, c => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;" })[c]);
  const points = path => path.points ??= [...path.getAttribute("d").matchAll(/(-?[\d.]+) (-?[\d.]+)/g)].map(m => [+m[1], +m[2]]);

  function readCurves(svg, x) {
    const [low, high, left, width] = svg.dataset.x.split(" ").map(Number);
    const curves = all("path[data-label]", svg).filter(visible);
    const nearest = (list, x) => list.reduce((best, p) => Math.abs(p[0] - x) < Math.abs(best[0] - x) ? p : best, [Infinity, 0]);
    const place = nearest(curves.map(path => nearest(points(path), x)), x)[0];
    if (!isFinite(place)) return;
    const near = path => nearest(points(path), place);
    const values = curves.filter(path => near(path)[0] === place).map(path => {
      const [logarithmic, from, to, top, height] = path.closest(".plot").dataset.y.split(" ").map(Number);
      const share = 1 - (near(path)[1] - top) / height;
      const value = logarithmic ? from * (to / from) ** share : from + (to - from) * share;
      const digits = path.dataset.unit === "dB" ? number(value, 1) : ["mm", "°"].includes(path.dataset.unit) && !logarithmic ? number(value, 0) : significant(value);
      return `${safe(path.dataset.label)} <b>${digits}</b> ${path.dataset.unit}`;
    });
    const line = svg.querySelector(".crosshair");
    line.classList.remove("off");
    line.setAttribute("transform", `translate(${place} 0)`);
    svg.place = place;
    say(svg, [`<b>${hertz(low * (high / low) ** ((place - left) / width))}</b>`, ...values]);
  }

  function readPlane(svg, p) {
    const [left, top, scale, mirror] = svg.dataset.plane.split(" ").map(Number);
    const [x0, y1] = svg.dataset.origin.split(" ").map(Number);
    const x = root.dataset.view === "1" ? mirror - p.x : p.x;
    const figure = svg.closest("figure"), map = data.maps[figure.dataset.map];
    // Names of the axes to the right and upwards, and the sign of the latter.
    const [right, up, sign] = (svg.dataset.axes ?? "x y 1").split(" ");
    const parts = [`${right} <b>${number((x0 + (x - left) / scale) * 1000, 0)}</b> mm, ${up} <b>${number(sign * (y1 - (p.y - top) / scale) * 1000, 0)}</b> mm`];
    svg.place = [p.x, p.y];
    if (map) {
      const i = map.x.findIndex((edge, k) => edge <= x && x < map.x[k + 1]);
      const j = map.y.findIndex((edge, k) => edge >= p.y && p.y > map.y[k + 1]);
      if (i < 0 || j < 0 || map.clipped && !svg.querySelector(".outline").isPointInFill(new DOMPoint(x, p.y))) return;
      const band = bandOf(figure, map), level = levelAt(map, band, i, j);
      if (Number.isNaN(level) && !map.blank) return;
      if (Number.isNaN(level)) parts.push(map.blank);
      else parts.push(`<b>${number(level / 10, 1)}</b> ${map.unit}`, `${level < band.mean ? "" : "+"}${number((level - band.mean) / 10, 1)} dB re ${map.reference ?? "mean"}`);
    } else {
      const notes = all("[data-note]", svg).map(g => [g, g.lastElementChild.getBBox()]);
      const away = box => Math.hypot(box.x + box.width / 2 - x, box.y + box.height / 2 - p.y);
      const [nearest] = notes.sort((a, b) => away(a[1]) - away(b[1]));
      if (nearest && away(nearest[1]) < 30) parts.splice(0, 1, safe(nearest[0].dataset.note));
    }
    say(svg, parts);
  }

  function readPolar(svg, p) {
    const [cx, cy, radius, span, sideways, widest] = svg.dataset.polar.split(" ").map(Number);
    const [dx, dy] = [p.x - cx, p.y - cy];
    const angle = sideways ? Math.atan2(-dy, dx) : Math.atan2(dx, dy);
    if (Math.abs(angle) > Math.PI * widest) return;
    svg.place = angle;
    const values = all("path[data-label]", svg).filter(visible).map(path => {
      const list = points(path), [x, y] = list[Math.round((angle / (2 * Math.PI * widest) + 0.5) * (list.length - 1))];
      return `${safe(path.dataset.label)} <b>${number((Math.hypot(x - cx, y - cy) / radius - 1) * span, 1)}</b> dB`;
    });
    const line = svg.querySelector(".crosshair");
    line.classList.remove("off");
    line.setAttribute("x2", cx + radius * (sideways ? Math.cos(angle) : Math.sin(angle)));
    line.setAttribute("y2", cy + radius * (sideways ? -Math.sin(angle) : Math.cos(angle)));
    say(svg, [`<b>${number(angle * 180 / Math.PI, 0)}°</b>`, ...values]);
  }

  // Variants of a study: the one that is pointed at shows in every picture of them.
  const variants = data.maps.variants;
  const shareOf = ({ log, low, high }, value) => log ? Math.log(value / low) / Math.log(high / low) : (value - low) / (high - low);
  const lanesOf = svg => {
    const [left, width, ...rows] = svg.dataset.traces.split(" ").map(Number);
    const at = (lane, k) => {
      const aspect = variants.aspects[lane], value = aspect.v[k];
      return value === null ? NaN : left + width * (aspect.flip ? 1 - shareOf(aspect, value) : shareOf(aspect, value));
    };
    return { rows, at };
  };
  const spotOf = (svg, k) => {
    const [a, b, left, top, width, height] = svg.dataset.points.split(" ").map(Number);
    const [x, y] = [a, b].map(index => variants.aspects[index]).map(aspect => aspect.v[k] === null ? NaN : shareOf(aspect, aspect.v[k]));
    return [left + width * x, top + height * (1 - y)];
  };
  // Place in the list of the variant whose distance is least.
  const nearestOf = distance => variants.number.reduce((best, _, k) => {
    const away = distance(k);
    return away < best[1] ? [k, away] : best;
  }, [0, Infinity])[0];
  function pointedAt(svg, p) {
    if (svg.dataset.points) return nearestOf(k => { const [x, y] = spotOf(svg, k); return Math.hypot(x - p.x, y - p.y); });
    const { rows, at } = lanesOf(svg), above = Math.max(0, rows.findLastIndex(row => row <= p.y));
    const below = Math.min(above + 1, rows.length - 1), share = Math.min(1, Math.max(0, (p.y - rows[above]) / (rows[below] - rows[above] || 1)));
    return nearestOf(k => Math.abs(at(above, k) * (1 - share) + at(below, k) * share - p.x));
  }
  function choose(k) {
    for (const svg of all("svg[data-traces]")) {
      const { rows, at } = lanesOf(svg), line = svg.querySelector(".chosen");
      let pen = "M";
      line.setAttribute("d", rows.map((row, lane) => { const x = at(lane, k), step = isFinite(x) ? `${pen}${x.toFixed(1)} ${row}` : ""; pen = step ? "L" : "M"; return step; }).join(""));
      line.classList.remove("off");
    }
    for (const svg of all("svg[data-points]")) {
      const [x, y] = spotOf(svg, k), ring = svg.querySelector(".chosen");
      ring.classList.toggle("off", !isFinite(x + y));
      if (isFinite(x + y)) { ring.setAttribute("cx", x.toFixed(1)); ring.setAttribute("cy", y.toFixed(1)); }
    }
    for (const row of all("tr[data-place]")) row.classList.toggle("chosen", +row.dataset.place === variants.place[k]);
  }
  const inWords = ({ name, unit, words, v }, k) => `${safe(name)} <b>${v[k] === null ? "–" : words.length ? safe(words[v[k] - 1]) : number(v[k], 4).replace(/\.?0+$/, "")}</b> ${unit}`;
  function readVariant(svg, k) {
    svg.place = k;
    choose(k);
    const place = `place ${variants.place[k] + 1} of ${variants.of}`;
    const told = svg.dataset.points ? svg.dataset.points.split(" ").slice(0, 2).map(index => variants.aspects[index]) : variants.aspects;
    say(svg, [`No. <b>${variants.number[k]}</b>, ${place}`, ...told.map(aspect => inWords(aspect, k))]);
  }
  for (const row of all("tr[data-place]")) row.addEventListener("pointerenter", () => {
    const k = variants.place.indexOf(+row.dataset.place);
    if (k >= 0) choose(k);
  });

  const ofVariants = svg => svg.dataset.traces || svg.dataset.points;
  const read = (svg, p) => ofVariants(svg) ? readVariant(svg, pointedAt(svg, p)) : svg.dataset.x ? readCurves(svg, p.x) : svg.dataset.plane ? readPlane(svg, p) : readPolar(svg, p);
  function step(svg, dx, dy) {
    if (ofVariants(svg)) {
      readVariant(svg, Math.min(variants.number.length - 1, Math.max(0, (svg.place ?? -1) + dx + dy)));
    } else if (svg.dataset.x) {
      const path = all("path[data-label]", svg).find(path => visible(path) && points(path).length), list = path ? points(path) : [];
      const here = list.findIndex(p => p[0] === svg.place);
      const next = list[Math.min(list.length - 1, Math.max(0, here < 0 ? list.length >> 1 : here + dx))];
      if (next) readCurves(svg, next[0]);
    } else if (svg.dataset.plane) {
      const [x, y] = svg.place ?? [svg.viewBox.baseVal.width / 2, svg.viewBox.baseVal.height / 2];
      readPlane(svg, { x: x + 10 * dx, y: y + 10 * dy });
    } else {
      const [cx, cy, , , sideways] = svg.dataset.polar.split(" ").map(Number);
      const angle = (svg.place ?? 0) + (sideways ? -dy : dx) * Math.PI / 180;
      readPolar(svg, sideways ? { x: cx + Math.cos(angle), y: cy - Math.sin(angle) } : { x: cx + Math.sin(angle), y: cy + Math.cos(angle) });
    }
  }
  const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  for (const svg of all("svg.drawing:not(.still)")) {
    for (const kind of ["pointermove", "pointerdown"]) svg.addEventListener(kind, event => read(svg, spot(svg, event)));
    svg.addEventListener("keydown", event => {
      if (!arrows[event.key]) return;
      event.preventDefault();
      step(svg, ...arrows[event.key]);
    });
  }
  // On paper nothing can be unfolded.
  const folded = all("details:not([open])");
  addEventListener("beforeprint", () => folded.forEach(details => { details.open = true; }));
  addEventListener("afterprint", () => folded.forEach(details => { details.open = false; }));

  root.classList.add("scripted");
  readChoices();
  apply();

  // With #selftest in the address every control and drawing is used once, and the document says what that did.
  if (location.hash === "#selftest") {
    const used = { controls: 0, readouts: 0, silent: [] };
    for (const input of inputs) { input.click(); used.controls++; }
    for (const svg of all("svg.drawing:not(.still)").filter(visible)) {
      const output = svg.closest("figure").querySelector("output"), box = svg.getBoundingClientRect();
      const middle = { clientX: box.x + box.width / 2, clientY: box.y + box.height * 0.4, bubbles: true };
      for (const event of [new PointerEvent("pointermove", middle), ...Object.keys(arrows).map(key => new KeyboardEvent("keydown", { key }))]) {
        output.textContent = "";
        svg.dispatchEvent(event);
        if (output.textContent) used.readouts++; else used.silent.push(svg.getAttribute("aria-label") + " " + event.type);
      }
    }
    root.dataset.selftest = JSON.stringify(used);
  }
})();
