// The engine of the browser against the one of the command line, question by question.
//
//   node browser/parity.mjs [PROGRAM]     PROGRAM: target/debug/airwright
//
// Both get the same questions of the phone; every number of their answers must agree to 1e-9 of its
// size (1e-12 where it is next to nothing), every text to the letter. Also times `phone-look`.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const program = process.argv[2] ?? new URL('../target/debug/airwright', import.meta.url).pathname;
const made = (name) => new URL(`../web/wasm/${name}`, import.meta.url);
const engine = await import(made('airwright.js').href);
engine.initSync({ module: readFileSync(made('airwright_bg.wasm')) });

// A generator of our own, so that the same houses are asked about each time.
let state = 20261112n;
const random = () => {
  state = (state * 6364136223846793005n + 1442695040888963407n) & ((1n << 64n) - 1n);
  return Number(state >> 11n) / 2 ** 53;
};
const between = (low, high) => low + (high - low) * random();
const typed = (value, digits) => String(Number(value.toFixed(digits)));

const ask = (question) => JSON.parse(engine.ask(JSON.stringify(question)));
const profiles = ask({ ask: 'phone-profiles', language: 'en' }).data.profiles;
const SHOWS = ['calibration-density', 'actual-density', 'through-envelope', 'reference-conditions', 'fan-pressure'];

function draft(profile, i) {
  const si = i % 2 === 1;
  const pressurise = i % 3 === 1;
  const baseline = between(-2, 2);
  const c = between(20, 200) * (si ? 1.7 : 1);
  const n = between(0.55, 0.75);
  const shows = SHOWS[i % SHOWS.length];
  const volume = between(200, 900);
  const flow = (pa) => {
    const q = c * pa ** n * (1 + between(-0.01, 0.01));
    return shows === 'fan-pressure' ? typed((q / 100) ** 2, 2) : typed(q, 0);
  };
  // Every third test has a second fan with two ranges, every fourth both directions.
  const two = i % 3 === 2;
  const equation = { name: '', kind: 'equation', flow: '100', exponent: '0.5', low: '0.01', high: '1000000', points: [] };
  const table = {
    ...equation, name: 'small ring', kind: 'table',
    points: [[0.01, 1], [4, 20], [1000000, 10000]].map(([pressure, flow]) => ({ pressure: String(pressure), flow: String(flow) })),
  };
  const fan = (more) => ({
    label: '', accuracy: i % 8 === 7 ? '' : '4', serial: 'F-1', calibrated: '2026-03-02', shows,
    calibration_density: si ? '1.2' : '0.075', calibrations: [equation], ...more,
  });
  const second = fan({ serial: 'F-2', shows: 'fan-pressure', calibrations: [{ ...equation, name: 'large ring' }, table] });
  const stations = () =>
    profile.pressures_pa.map((pa, at) => ({
      house: typed(pa + between(-1, 1), 1), fans: two ? [flow(pa), typed(pa / 2, 2)] : [flow(pa)],
      ranges: two ? ['', at % 2 ? '1' : '2'] : [],
    }));
  const samples = () => Array.from({ length: 5 }, () => typed(baseline + between(-0.4, 0.4), 1));
  return {
    id: `t-${i}`, created: '2026-11-12T10:00:00Z',
    language: i % 4 < 2 ? 'en' : 'es', system: si ? 'SI' : 'IP',
    profile: profile.id, direction: pressurise ? 'pressurise' : 'depressurise',
    place: {
      name: `House ${i}`, altitude: typed(between(0, 1500), 0), limit: typed(between(1, 12), 1),
      limit_source: 'an invented code', limit_confirmed: i % 2 === 0,
    },
    building: {
      volume: typed(si ? volume : volume * 35.3, 0), floor_area: typed(si ? volume / 2.5 : volume * 4.3, 0),
      envelope_area: typed((si ? 1 : 10.76) * 8 * volume ** (2 / 3), 0), height: typed(si ? 5 : 16, 0),
      basement: 'in', includes: '',
    },
    tester: { name: 'R. Sample', credential: '' },
    firm: { name: 'Example House Performance', address: '12 Example Street\nSampleton', phone: '555 0100', licence: 'Invented 77' },
    conditions: {
      indoor: typed(si ? between(18, 24) : between(65, 75), 1), outdoor: typed(si ? between(-9, 29) : between(15, 85), 1),
      indoor_rh: typed(between(20, 60), 0), outdoor_rh: typed(between(30, 95), 0), wind: typed(between(0, 4), 1), barometer: '',
    },
    gauge: {
      label: '', accuracy: '1 or 0.25', serial: 'P-1', calibrated: '2026-03-02',
      baseline_subtracted: i % 7 === 6,
    },
    fans: two ? [fan({}), second] : [fan({})],
    preparation: profile.preparation.map((p) => ({ id: p.id, state: p.usual, restored: i % 2 === 0 })),
    baseline_before: samples(), baseline_after: samples(),
    stations: stations(),
    second: i % 4 === 3 ? { baseline_before: i % 8 === 3 ? [] : samples(), baseline_after: samples(), stations: stations() } : null,
    accepted: [`calibration-old: gauge.calibrated=2026-03-02`, 'baseline-unused: gauge.baseline_subtracted=true'],
  };
}

const questions = [];
for (const language of ['en', 'es']) {
  questions.push({ ask: 'phone-words', language });
  questions.push({ ask: 'phone-profiles', language });
}
for (const profile of profiles) {
  for (let i = 0; i < 8; i++) {
    const d = draft(profile, i);
    questions.push({ ask: 'phone-look', draft: d, now: '2026-11-12' });
    questions.push({ ask: 'phone-look', draft: { ...d, stations: d.stations.slice(0, 4) } });
    questions.push({ ask: 'phone-sheet', draft: d, now: '2026-11-12 11:00' });
    questions.push({ ask: 'phone-open', files: ask({ ask: 'phone-sheet', draft: d, now: '' }).data.files });
  }
}
questions.push({ ask: 'phone-dance' });

// The demonstration's house, worked whole: network, fit and years.
const folder = mkdtempSync(join(tmpdir(), 'airwright-parity-'));
const demo = spawnSync(program, ['demo', join(folder, 'house'), '--quiet'], { encoding: 'utf8' });
if (demo.error) throw demo.error;
const paths = readdirSync(join(folder, 'house'), { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isFile() && !entry.parentPath.includes('/out'))
  .map((entry) => join(entry.parentPath, entry.name));
const files = paths.map((path) => ({ name: path.slice(folder.length + '/house/'.length), text: readFileSync(path, 'utf8') }));
rmSync(folder, { recursive: true });
for (const request of [{ ask: 'results' }, { ask: 'fit' }, { ask: 'rooms' }, { ask: 'next' }, { ask: 'plans', draws: 2 }])
  questions.push({ ask: 'job', request, files, now: '2026-11-12' });


const lines = questions.map((q) => JSON.stringify(q));
const native = spawnSync(program, ['dev', 'ask'], { input: lines.join('\n'), encoding: 'utf8', maxBuffer: 1 << 30 });
if (native.status !== 0) throw new Error(`${program}: ${native.error ?? native.stderr}`);
const answers = native.stdout.trimEnd().split('\n');
if (answers.length !== lines.length) throw new Error(`${lines.length} questions, ${answers.length} answers`);

let numbers = 0, texts = 0, worst = 0, where = '';
const wrong = [];
function compare(a, b, at) {
  if (typeof a === 'number' && typeof b === 'number') {
    numbers++;
    const off = Math.abs(a - b) / Math.max(Math.abs(a), Math.abs(b), 1e-3);
    if (off > worst) [worst, where] = [off, at];
    if (!(off <= 1e-9)) wrong.push(`${at}: ${a} ${b}`);
  } else if (a !== null && b !== null && typeof a === 'object' && typeof b === 'object') {
    for (const key of new Set([...Object.keys(a), ...Object.keys(b)])) compare(a[key], b[key], `${at}.${key}`);
  } else {
    texts++;
    if (a !== b) wrong.push(`${at}: ${String(a).slice(0, 200)} | ${String(b).slice(0, 200)}`);
  }
}
let verdicts = 0;
lines.forEach((line, i) => {
  const [a, b] = [JSON.parse(engine.ask(line)), JSON.parse(answers[i])];
  if (a.data?.look?.answer?.verdict) verdicts++;
  compare(a, b, `${questions[i].ask} ${i}`);
});
// A comparison of nothing with nothing would hold as well.
if (numbers < 3000 || verdicts < 50) wrong.push(`only ${numbers} numbers and ${verdicts} verdicts were compared`);

const looks = lines.filter((l) => l.includes('"phone-look"'));
const took = looks.map((l) => {
  const began = performance.now();
  engine.ask(l);
  return performance.now() - began;
}).sort((x, y) => x - y);
const ms = (q) => took[Math.floor(q * (took.length - 1))].toFixed(1);
console.log(`${lines.length} questions, ${numbers} numbers, ${texts} texts; largest difference ${worst.toExponential(1)} at ${where}`);
for (const line of lines.filter((l) => l.startsWith('{"ask":"job"'))) {
  const began = performance.now();
  engine.ask(line);
  console.log(`job ${JSON.stringify(JSON.parse(line).request)}: ${(performance.now() - began).toFixed(0)} ms`);
}
console.log(`phone-look: median ${ms(0.5)} ms, 95 % ${ms(0.95)} ms, slowest ${ms(1)} ms`);
for (const line of wrong.slice(0, 20)) console.error(line);
process.exit(wrong.length ? 1 : 0);
