// Entries of the books as edits of a job's documents.
import type { Fan, Firm, Gauge, Operation, System, Tester } from './types';
import type { PlaceEntry, PriceEntry } from './store';
import { bare, insert, keyName, list, quoted, set } from './visit';

const JOB = 'job.toml';

/** Keys of a table of `job.toml`, those that were entered. */
const keys = (table: string, pairs: [string, string][]): Operation[] =>
  pairs.filter(([, value]) => value !== '' && value !== '""').map(([key, value]) => set(JOB, [table, key], value));

const text = (value: string | undefined): string => quoted((value ?? '').trim());

const withUnit = (value: string, unit: string): string => (value.trim() === '' ? '' : quoted(`${value.trim()} ${unit}`));

export function placeOps(place: PlaceEntry): Operation[] {
  const limit = Object.values(place.limits).find((l) => l.limit.trim() !== '');
  return keys('place', [
    ['name', text(place.name)],
    ['altitude', withUnit(place.altitude, place.system === 'SI' ? 'm' : 'ft')],
    ['limit_ach50', limit ? withUnit(limit.limit, '1/h') : ''],
    ['limit_source', limit ? text(limit.limit_source) : ''],
    ['limit_confirmed', limit ? String(limit.limit_confirmed) : ''],
  ]);
}

export const testerOps = (tester: Tester): Operation[] =>
  keys('tester', [
    ['name', text(tester.name)],
    ['credential', text(tester.credential)],
  ]);

export function firmOps(firm: Firm): Operation[] {
  const address = firm.address.split('\n').map((line) => line.trim()).filter(Boolean);
  return keys('letterhead', [
    ['name', text(firm.name)],
    ['address', address.length > 0 ? list(address.map(quoted)) : ''],
    ['phone', text(firm.phone)],
    ['licence', text(firm.licence)],
  ]);
}

export function priceOps(price: PriceEntry): Operation[] {
  const name = keyName(price.name, []);
  const ops = [set(JOB, ['price', name, 'each'], text(price.each))];
  return price.yearly.trim() ? [...ops, set(JOB, ['price', name, 'yearly'], text(price.yearly))] : ops;
}

const lines = (pairs: [string, string][]): string =>
  pairs.filter(([, value]) => value !== '' && value !== '""').map(([key, value]) => `${key} = ${value}\n`).join('');

export function gaugeOps(path: string, gauge: Gauge, taken: readonly string[]): Operation[] {
  const body = lines([
    ['label', text(gauge.label)],
    ['measures', quoted('pressure')],
    ['accuracy', text(gauge.accuracy)],
    ['serial', text(gauge.serial)],
    ['calibrated', text(gauge.calibrated)],
    ['baseline', quoted(gauge.baseline_subtracted ? 'subtracted' : 'not subtracted')],
  ]);
  return [insert(path, ['instrument', keyName(gauge.label || 'gauge', taken)], body)];
}

/** A fan with its calibrations, one range or several with names. */
export function fanOps(path: string, fan: Fan, system: System, taken: readonly string[]): Operation[] {
  const name = keyName(fan.label || 'fan', taken);
  const flow = system === 'SI' ? 'm3/h' : 'cfm';
  const density = system === 'SI' ? 'kg/m3' : 'lb/ft3';
  const body = lines([
    ['label', text(fan.label)],
    ['measures', quoted('air flow')],
    ['accuracy', text(fan.accuracy)],
    ['serial', text(fan.serial)],
    ['calibrated', text(fan.calibrated)],
    ['shows', text(fan.shows)],
    ['calibration_density', withUnit(fan.calibration_density, density)],
  ]);
  const ops = [insert(path, ['instrument', name], body)];
  const several = fan.calibrations.length > 1;
  fan.calibrations.forEach((one, i) => {
    const at = several ? ['instrument', name, 'range', keyName(one.name || `range ${i + 1}`, [])] : ['instrument', name, 'calibration'];
    if (one.kind === 'table') {
      const rows = one.points.filter((p) => p.pressure && p.flow).map((p) => list([bare(p.pressure), bare(p.flow)]));
      if (rows.length > 0) ops.push(set(path, [...at, 'table'], `{ columns = ["pressure Pa", "flow ${flow}"], rows = ${list(rows)} }`));
    } else if (one.flow.trim() && one.exponent.trim()) {
      ops.push(set(path, [...at, 'k'], quoted(`${one.flow.trim()} ${flow}`)), set(path, [...at, 'exponent'], bare(one.exponent)));
      if (one.low.trim() && one.high.trim()) ops.push(set(path, [...at, 'span'], quoted(`${one.low.trim()} to ${one.high.trim()} Pa`)));
    }
  });
  return ops;
}
