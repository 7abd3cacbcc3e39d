// A made-up desk of ten million readings in front of the program's pages, and a made-up series of a job.
import { createServer } from 'node:http';
import { serve } from './serve.mjs';

const PER = 16;

/** A regular trace with least, greatest and sum of each 16, 256, ... readings. */
class Trace {
  constructor(about, start, step, n, value) {
    Object.assign(this, { about, start, step });
    const ground = new Float32Array(n);
    for (let k = 0; k < n; k += 1) ground[k] = value(start + k * step, k);
    this.levels = [{ least: ground, greatest: ground, sum: ground }];
    for (let below = this.levels[0]; below.sum.length > PER; below = this.levels.at(-1)) {
      const m = Math.ceil(below.sum.length / PER);
      const one = { least: new Float32Array(m).fill(Infinity), greatest: new Float32Array(m).fill(-Infinity), sum: new Float64Array(m) };
      for (let k = 0; k < below.sum.length; k += 1) {
        const at = (k / PER) | 0;
        one.least[at] = Math.min(one.least[at], below.least[k]);
        one.greatest[at] = Math.max(one.greatest[at], below.greatest[k]);
        one.sum[at] += below.sum[k];
      }
      this.levels.push(one);
    }
    this.count = n;
    this.extra = [];
  }

  get last() {
    return this.extra.at(-1)?.[0] ?? this.start + (this.count - 1) * this.step;
  }

  #cell(from, to) {
    let [least, greatest, sum] = [Infinity, -Infinity, 0];
    const take = (level, a, b) => {
      const of = this.levels[level];
      for (let k = a; k < b; k += 1) {
        if (of.least[k] < least) least = of.least[k];
        if (of.greatest[k] > greatest) greatest = of.greatest[k];
        sum += of.sum[k];
      }
    };
    for (let level = 0; ; level += 1) {
      const [low, high] = [Math.min(to, Math.ceil(from / PER) * PER), Math.floor(to / PER) * PER];
      if (level + 1 === this.levels.length || low >= high) {
        take(level, from, to);
        break;
      }
      take(level, from, low);
      take(level, high, to);
      [from, to] = [low / PER, high / PER];
    }
    return [least, greatest, sum];
  }

  window(from, to, buckets) {
    const out = { start_ms: [], least: [], mean: [], greatest: [], count: [] };
    const per = Math.ceil((to - from) / buckets);
    const put = (start, least, mean, greatest, count) => {
      out.start_ms.push(start);
      out.least.push(least);
      out.mean.push(mean);
      out.greatest.push(greatest);
      out.count.push(count);
    };
    for (let k = 0; k < buckets; k += 1) {
      const start = from + k * per;
      const a = Math.max(0, Math.ceil((start - this.start) / this.step));
      const b = Math.min(this.count, Math.ceil((Math.min(start + per, to) - this.start) / this.step));
      if (b > a) {
        const [least, greatest, sum] = this.#cell(a, b);
        put(start, least, sum / (b - a), greatest, b - a);
      }
    }
    for (const [time, value] of this.extra) if (time >= from && time < to) put(from + Math.floor((time - from) / per) * per, value, value, value, 1);
    return out;
  }
}

const MINUTE = 60_000;
const DAY = 24 * 60 * MINUTE;
const END = Date.UTC(2026, 10, 20, 12);

/** Noise that needs no memory. */
const noise = (k, salt) => {
  const x = Math.sin(k * 12.9898 + salt * 78.233) * 43758.5453;
  return x - Math.floor(x) - 0.5;
};
const daily = (t, hour = 0) => Math.sin((2 * Math.PI * (t - hour * 60 * MINUTE)) / DAY);
const yearly = (t) => Math.cos((2 * Math.PI * t) / (365 * DAY));

let made;
/** Eight traces of 1.25 million readings: two years and four months of minutes. */
export function tenMillion() {
  if (made) return made;
  const n = 1_250_000;
  const start = END - n * MINUTE;
  const off = (t) => t > END - 3 * DAY;
  const traces = [
    ['bedroom_co2', 'bedroom', 'gas_fraction', 'ppm', (t, k) => 1e-6 * ((off(t) ? 350 : 0) + 650 + 250 * Math.max(0, daily(t, 20)) + 60 * noise(k, 1))],
    ['living_co2', 'living', 'gas_fraction', 'ppm', (t, k) => 1e-6 * (560 + 120 * daily(t, 14) + 40 * noise(k, 2))],
    ['living_pm25', 'living', 'particle_concentration', 'ug/m3', (t, k) => 1e-9 * (5 + 30 * Math.max(0, daily(t, 12) - 0.93) * 10 + 3 * (noise(k, 3) + 0.5))],
    ['living_temp', 'living', 'temperature', 'degC', (t, k) => 294 - 1.5 * yearly(t) + 0.6 * daily(t, 9) + 0.3 * noise(k, 4)],
    ['living_rh', 'living', 'fraction', '%', (t, k) => 0.45 - 0.1 * yearly(t) + 0.03 * daily(t, 3) + 0.01 * noise(k, 5)],
    ['living_pressure', 'living', 'pressure', 'Pa', (t, k) => -1 - 0.8 * yearly(t) + 1.2 * noise(k, 6) - (noise(Math.floor(k / 30), 7) > 0.46 ? 4 : 0)],
    ['intake_flow', 'ventilator', 'air_flow', 'cfm', (t, k) => (off(t) ? 0.012 : 0.03) + 0.0006 * noise(k, 8)],
    ['blower_power', 'air_handler', 'power', 'W', (t, k) => (noise(Math.floor(k / 20), 9) > 0.1 ? 330 : 8) + 10 * noise(k, 10)],
  ];
  made = traces.map(([name, place, quantity, unit, value], k) => {
    const id = k + 1;
    return new Trace({ id, name: `made-up/${name}`, job: 'made-up', place, quantity, unit, off }, start, MINUTE, n, value);
  });
  return made;
}

/** What the made-up house was expected to show, for the first, second, fourth and seventh trace. */
function expected(trace, from, to) {
  const out = { from_ms: [], to_ms: [], low: [], mid: [], high: [] };
  const bands = {
    1: (t) => [1e-6 * (650 + 250 * Math.max(0, daily(t + 30 * MINUTE, 20))), 120e-6],
    2: (t) => [1e-6 * (560 + 120 * daily(t + 30 * MINUTE, 14)), 100e-6],
    4: (t) => [294 - 1.5 * yearly(t) + 0.6 * daily(t + 30 * MINUTE, 9), 0.8],
    7: () => [0.03, 0.004],
  };
  const of = bands[trace.about.id];
  for (let t = Math.ceil(Math.max(from, trace.start) / 3_600_000) * 3_600_000; of && t < Math.min(to, trace.last); t += 3_600_000) {
    const [mid, half] = of(t);
    out.from_ms.push(t);
    out.to_ms.push(t + 3_600_000);
    out.low.push(mid - half);
    out.mid.push(mid);
    out.high.push(mid + half);
  }
  return out;
}

const EVENTS = [
  { id: 3, kind: 'change', about: 'living_rh', start_ms: END - 90 * DAY, end_ms: END - 84 * DAY, quantity: 'fraction', value: 0.08, sources: [5],
    causes: [{ kind: 'runs', device: 'bath_fan', amount: 1, share: 0.7 }, { kind: 'other', amount: 1, share: 0.3 }] },
  { id: 7, kind: 'change', about: 'intake_flow', start_ms: END - 3 * DAY, end_ms: null, quantity: 'air_flow', value: -0.018, sources: [7, 1],
    causes: [{ kind: 'stopped', device: 'ventilator', amount: 0.6, share: 0.86 }, { kind: 'people', zone: 'bedroom', amount: 2, share: 0.1 }, { kind: 'other', amount: 1, share: 0.04 }] },
];

const FALSE = 'about one false alert of this kind in 5 months';
/** How the made-up watch stands, until somebody changes it. */
const standing = () => ({
  until_ms: END - 3_600_000,
  has_model: true,
  alerts: [
    { kind: 'filter-due', of: 'air_handler', time_ms: END - 20 * DAY, end_ms: null, event: null, grave: false, text: 'Air handler: its filter has reached its limit, 2 times its clean resistance.', rate: 'about one false alert of this kind in 10 years' },
    { kind: 'change', of: 'intake_flow', time_ms: END - 2.5 * DAY, end_ms: null, event: null, grave: false, text: 'ventilator, intake flow: left what is expected, by \u221238\u00a0cfm on average.', rate: FALSE },
  ],
  nights: [{ trace: 'bedroom_co2', name: 'bedroom, CO2', from_ms: END - DAY, to_ms: END - 0.7 * DAY, text: 'air change 0.42 1/h (0.35 1/h to 0.5 1/h)' }],
  filters: [{ device: 'air_handler', trace: 'blower_power', text: 'Air handler: 1.6 times the clean resistance', load: [1.6, 1.5, 1.7], limit: 2, from_ms: END - 110 * DAY, now_ms: END, due_ms: END + 60 * DAY, earliest_ms: END + 50 * DAY, latest_ms: END + 75 * DAY }],
  owed: 'relative exposure 1.21, owed 9 h of one excess exposure',
  rules: {
    at_ms: END - 300_000, text: 'What the rules would have done up to 2026-11-20 11:55; nothing is commanded.', owed: null,
    rules: [{ text: 'More air for the bedroom: on since 2026-11-20 10:05, would set ventilator to 100 %', on: true, lost: false, since_ms: END - 7_000_000 }, { text: 'Smoke: off since it is watched; a signal is lost, what the rule does without it counts', on: false, lost: true, since_ms: null }],
    devices: ['ventilator would be set to 100 %'],
  },
  false_text: 'Of such alerts 0.3 a month are expected of a house where nothing is the matter.',
});

/** The pages of the program, and a desk that answers as one with a store would. `wait_ms` is how long it takes. */
export async function desk() {
  const program = await serve();
  const traces = tenMillion();
  for (const trace of traces) trace.extra = [];
  const open = new Set();
  const asked = [];
  const state = { wait_ms: 0, away: false, standing: standing() };
  const answer = (path, query) => {
    const trace = traces.find((t) => t.about.id === Number(query.get('source')));
    const [from, to] = [Number(query.get('from')), Number(query.get('to'))];
    if (path === 'sources') return { sources: traces.map((t) => ({ ...t.about, first_ms: t.start, last_ms: t.last, count: t.count })) };
    if (path === 'events') return { events: EVENTS };
    if (path === 'watch') return state.standing;
    if (!trace || !(from < to)) return undefined;
    return path === 'window' ? trace.window(from, to, Number(query.get('buckets'))) : path === 'expected' ? expected(trace, from, to) : undefined;
  };
  const server = createServer(async (request, response) => {
    const url = new URL(request.url, 'http://loopback');
    try {
      if (url.pathname.startsWith('/desk/')) {
        asked.push(request.url);
        if (state.away) return response.writeHead(503).end();
        const what = url.pathname.slice('/desk/'.length);
        if (what === 'live') {
          response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
          response.write(': open\n\n');
          open.add(response);
          response.on('close', () => open.delete(response));
          return;
        }
        if (state.wait_ms > 0) await new Promise((done) => setTimeout(done, state.wait_ms));
        const body = answer(what, url.searchParams);
        response.writeHead(body ? 200 : 404, { 'content-type': 'application/json', 'cache-control': 'no-store' });
        response.end(JSON.stringify(body ?? {}));
        return;
      }
      const given = await fetch(new URL(url.pathname, program.url));
      const headers = Object.fromEntries(given.headers);
      for (const own of ['content-length', 'transfer-encoding', 'connection', 'keep-alive', 'date']) delete headers[own];
      response.writeHead(given.status, headers);
      response.end(new Uint8Array(await given.arrayBuffer()));
    } catch (error) {
      if (!response.headersSent) response.writeHead(502);
      response.end(String(error));
    }
  });
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  return {
    url: `http://127.0.0.1:${server.address().port}/`,
    state,
    asked,
    listeners: () => open.size,
    /** A reading comes in at a source. */
    push(source, time, value) {
      traces[source - 1].extra.push([time, value]);
      for (const one of open) one.write(`data: ${JSON.stringify({ source, points: [[time, value]] })}\n\n`);
    },
    /** The watch has something new to tell. */
    tell(change) {
      Object.assign(state.standing, change);
      for (const one of open) one.write('event: watch\ndata: {"watch":true}\n\n');
    },
    /** The link is gone for a moment. */
    cut() {
      for (const one of open) one.end();
      open.clear();
    },
    last: (source) => traces[source - 1].last,
    stop: async () => {
      for (const one of open) one.end();
      server.closeAllConnections();
      await new Promise((done) => server.close(done));
      await program.stop();
    },
  };
}

/** Ten weeks of half hours in the demonstration house: a bedroom that gets 400 ppm more in the end, a filter that loads. */
export function series() {
  let csv = 'time,bedroom.co2 ppm,main.temp degC,outdoor.temp degC,air_handler.flow cfm,main.co ppm\n';
  const start = Date.UTC(2026, 7, 1);
  for (let k = 0; k < 70 * 48; k += 1) {
    const at = start + k * 30 * MINUTE;
    const hour = ((at % DAY) + DAY) % DAY / 3_600_000;
    const day = k / 48;
    const night = hour >= 22 || hour < 7;
    const co2 = 480 + (night ? 420 : 60) + 40 * noise(k, 11) + 60 * noise(Math.floor(day), 12) + (day > 55 ? 400 : 0);
    const outdoors = 20 + 6 * daily(at, 9) + 3 * noise(Math.floor(day), 13);
    const flow = 1000 - 0.5 * day + 12 * noise(k, 14);
    const text = new Date(at).toISOString().slice(0, 16).replace('T', ' ');
    csv += `${text},${co2.toFixed(0)},${(21.5 + 0.5 * daily(at, 10)).toFixed(1)},${outdoors.toFixed(1)},${flow.toFixed(0)},${k === 2000 ? 12 : 1}\n`;
  }
  const toml = `format = 1

[filter.hall]
device = "air_handler"
sits = "after the intake"
motor = "permanent split capacitor"
flow = "1000 cfm"
intake = "60 cfm"
drop = "25 Pa"
return = "25 Pa"
rest = "75 Pa"
new = "2026-08-01"
limit = 2.0
`;
  return { 'watch/log.csv': csv, 'watch.toml': toml };
}
