// Follows a night: begins with what is known, then takes each piece of news, and comes back by itself when the
// connection breaks. Nothing is ever sent but the wish to look.
"use strict";

const RECONNECT_MILLIS = 3000;
const SILENT_MILLIS = 12000;
const MOST_POINTS = 2400;
const MOST_LINES = 200;
const NAMES = ["at", "coolant", "rise", "slope", "slope-limit", "fans"];

const byId = id => document.getElementById(id);
const put = (id, text) => { if (byId(id).textContent !== text) byId(id).textContent = text; };
const number = value => value === "" || value === undefined ? null : Number(value);

// The slope goes over decades, so its size is drawn on a logarithmic axis.
const charted = (name, value) => name === "slope" && number(value) !== null
  ? Math.max(0.01, Math.abs(number(value))) : number(value);

let source = null;
let title = "";
let limit = null;
let data = emptyData();
let charts = [];
let lastHeard = 0;
let drawing = false;
let ended = false;

function emptyData() {
  return Object.fromEntries(NAMES.map(name => [name, []]));
}

// Charts: one for each quantity, so that none needs a second axis.

function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

function chart(id, series, logarithmic) {
  const host = byId(id);
  host.replaceChildren();
  const axis = { stroke: colour("--soft"), grid: { stroke: colour("--rule"), width: 1 }, ticks: { show: false },
    font: "12px system-ui, sans-serif" };
  const range = (plot, low, high) => low === null ? [0, 1] : [low - 0.05 * (high - low) - 0.01,
    high + 0.05 * (high - low) + 0.01];
  const plain = (plot, splits) => splits.map(split => split === null ? "" : String(split));
  // Of a logarithmic axis only the decades are ruled.
  const decades = (plot, splits) => splits.map(split => Math.abs(Math.log10(split) % 1) < 1e-6 ? split : null);
  const grid = logarithmic ? { ...axis.grid, filter: decades } : axis.grid;
  const options = {
    width: host.clientWidth || 320,
    height: 150,
    legend: { show: false },
    cursor: { show: false },
    tzDate: seconds => uPlot.tzDate(new Date(seconds * 1000), "Etc/UTC"),
    scales: { y: logarithmic ? { distr: 3, range: [0.01, 100] } : { range } },
    axes: [{ ...axis, grid: { show: false }, values: "{HH}:{mm}", space: 60, size: 30 },
      { ...axis, grid, size: 48, values: plain }],
    series: [{}, ...series.map(s => ({ stroke: colour(s.colour), width: 1.6, dash: s.dash || [], spanGaps: false,
      points: { show: false } }))],
  };
  return { id, names: series.map(s => s.name), plot: new uPlot(options, columns(series.map(s => s.name)), host) };
}

function columns(names) {
  return [data.at, ...names.map(name => data[name])];
}

function makeCharts() {
  charts.forEach(each => each.plot.destroy());
  charts = [
    chart("chart-coolant", [{ name: "coolant", colour: "--s1" }]),
    chart("chart-rise", [{ name: "rise", colour: "--s3" }]),
    chart("chart-slope", [{ name: "slope", colour: "--s4" }, { name: "slope-limit", colour: "--limit", dash: [7, 4] }],
      true),
    chart("chart-fans", [{ name: "fans", colour: "--s5" }]),
  ];
}

function draw() {
  drawing = false;
  for (const each of charts) {
    each.plot.setData(columns(each.names));
  }
}

function drawSoon() {
  if (!drawing) {
    drawing = true;
    requestAnimationFrame(draw);
  }
}

function take(now) {
  if (now.at === undefined) return;
  const at = Number(now.at);
  if (data.at.length && at <= data.at[data.at.length - 1]) return;
  for (const name of NAMES) data[name].push(charted(name, now[name]));
  // A page that stays open all night keeps its memory: every second point goes when there are too many.
  if (data.at.length > MOST_POINTS) {
    for (const name of NAMES) data[name] = data[name].filter((_, i) => i % 2 === 0);
  }
}

// What is written.

function show(now) {
  if (now.stage === undefined) return;
  simulated(now.simulated);
  put("clock", now.clock);
  put("coolant", now.coolant === undefined ? "no reading" : now.coolant.toFixed(2) + " °C");
  const gap = limit === null || now.coolant === undefined ? null : limit - now.coolant;
  put("distance", gap === null ? "" : gap >= 0 ? gap.toFixed(1) + " K below its limit of " + limit + " °C"
    : (-gap).toFixed(1) + " K ABOVE its limit of " + limit + " °C");
  put("stage", now.stage);
  put("pass", (now.pass ? "pass " + now.pass + " at " + now.step + ", " : "") + (now.heat ? "heat on" : "heat off"));
  put("waits", now.waits || "–");
  put("passes", now.done + " of " + now.planned + " done");
  put("spoiled", now.spoiled ? now.spoiled + " spoiled" : "none spoiled");
  put("ends-name", now.ended ? "Ended at" : "Ends at about");
  put("ends", now.ended ? now.clock : now.ends);
  put("left", now.ended ? "" : "in " + now.left);
  byId("chart-coolant").setAttribute("aria-label", "coolant over the night, now " + byId("coolant").textContent);
  ended = now.ended;
  state(now.troubles || []);
}

function state(troubles) {
  const needs = troubles.length > 0;
  byId("state").className = needs ? "needs" : "well";
  put("state-word", needs ? "Needs you" : ended ? "Done, all well" : "All well");
  const list = byId("troubles");
  if (list.dataset.shown !== troubles.join("\n")) {
    list.dataset.shown = troubles.join("\n");
    list.replaceChildren(...troubles.map(text => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }));
  }
}

function line(happened) {
  const item = document.createElement("li");
  const time = document.createElement("time");
  time.textContent = happened.clock;
  item.append(time, happened.text);
  const list = byId("lines");
  list.prepend(item);
  while (list.children.length > MOST_LINES) list.lastChild.remove();
}

function simulated(is) {
  document.title = (is ? "SIMULATED " : "") + title;
  byId("simulated").hidden = !is;
  document.querySelectorAll(".mark").forEach(mark => { mark.textContent = is ? "SIMULATED" : ""; });
}

function begin(all) {
  title = all.title;
  simulated(all.simulated);
  put("title", all.title + ", fan set " + all.set);
  put("about", "on " + all.bench);
  limit = all.limit === undefined ? null : all.limit;
  data = emptyData();
  for (const name of NAMES) data[name] = all.history[name].map(value => charted(name, value));
  byId("lines").replaceChildren();
  all.lines.forEach(line);
  makeCharts();
  show(all.now);
}

// The connection.

function heard() {
  lastHeard = performance.now();
  put("connection", "live");
}

function follow() {
  if (source) source.close();
  source = new EventSource("/events");
  const on = (name, what) => source.addEventListener(name, event => { heard(); what(JSON.parse(event.data)); });
  on("beginning", begin);
  on("now", now => { take(now); show(now); drawSoon(); });
  on("line", line);
  on("beat", () => {});
  source.onerror = () => lost();
}

function lost() {
  if (ended) {
    put("connection", "the run has ended; this is its last picture");
    source.close();
    return;
  }
  put("connection", "NO CONNECTION; trying again");
  byId("state").className = "waiting";
  put("state-word", "No news");
  if (source.readyState === EventSource.CLOSED) setTimeout(follow, RECONNECT_MILLIS);
}

setInterval(() => {
  if (lastHeard && performance.now() - lastHeard > SILENT_MILLIS) {
    lost();
    if (!ended) {
      lastHeard = performance.now();
      follow();
    }
  }
}, 2000);

matchMedia("(prefers-color-scheme: dark)").addEventListener("change", makeCharts);
addEventListener("resize", () => charts.forEach(each =>
  each.plot.setSize({ width: byId(each.id).clientWidth, height: 150 })));
makeCharts();
follow();
