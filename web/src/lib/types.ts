// The wire: what the engine's `ask` takes and gives. No number is computed here.

export type System = 'IP' | 'SI';
export type Language = 'en' | 'es';
export type Direction = 'depressurise' | 'pressurise';
export type OpeningState = 'open' | 'closed' | 'sealed';

export interface Place {
  name: string;
  altitude: string;
  limit: string;
  limit_source: string;
  limit_confirmed: boolean;
}

export interface Building {
  volume: string;
  floor_area: string;
  envelope_area: string;
  height: string;
  basement: 'in' | 'out' | 'none' | '';
  includes: string;
}

export interface Tester {
  name: string;
  credential: string;
  firm: string;
}

export interface Gauge {
  label: string;
  accuracy: string;
  serial: string;
  calibrated: string;
  baseline_subtracted: boolean;
}

export interface Fan {
  label: string;
  accuracy: string;
  serial: string;
  calibrated: string;
  shows: string;
  calibration_density: string;
  calibration_flow: string;
  calibration_exponent: string;
}

export interface Prepared {
  id: string;
  state: OpeningState | '';
  restored: boolean;
}

export interface Station {
  house: string;
  fan: string;
}

/** One test, everything as typed; an empty text was not entered. */
export interface Draft {
  id: string;
  created: string;
  language: Language;
  system: System;
  profile: string;
  direction: Direction;
  place: Place;
  building: Building;
  tester: Tester;
  conditions: { indoor: string; outdoor: string; wind: string; barometer: string };
  gauge: Gauge;
  fan: Fan;
  preparation: Prepared[];
  baseline_before: string[];
  baseline_after: string[];
  stations: Station[];
}

export type UnitOf = Partial<
  Record<
    | 'pressure'
    | 'flow'
    | 'length'
    | 'area'
    | 'volume'
    | 'temperature'
    | 'speed'
    | 'barometer'
    | 'density'
    | 'air_change',
    string
  >
>;

export interface WordsAnswer {
  words: Record<string, string>;
  units: UnitOf;
}

export interface PreparationItem {
  id: string;
  label: string;
  usual: OpeningState;
  restore: boolean;
  /** What each state is called for this item: a fan is off, a window is closed. */
  states?: Partial<Record<OpeningState, string>>;
}

export interface Profile {
  id: string;
  standard: string;
  method: 'multi-point' | 'two-point' | 'one-point';
  directions: Direction[];
  stations_wanted: number;
  pressures_pa: number[];
  volume_definition: string;
  floor_definition: string;
  envelope_definition: string;
  preparation: PreparationItem[];
}

export interface Answer {
  name: string;
  text: string;
  unit: string;
  range: string;
  level: string;
  value: number;
  lo: number | null;
  hi: number | null;
  limit?: { value: number; text: string; source: string; confirmed: boolean } | null;
  verdict?: 'pass' | 'fail' | 'too-close' | 'limit-not-confirmed' | null;
  verdict_text?: string | null;
  extrapolated: boolean;
}

export interface Step {
  stations: number;
  value: number;
  lo: number | null;
  hi: number | null;
}

export interface Challenge {
  /** Which question it is. */
  id: string;
  field: string;
  text: string;
  help: string;
}

export interface Look {
  missing: { field: string; text: string }[];
  challenges: Challenge[];
  answer?: Answer | null;
  others: { label: string; text: string }[];
  history: Step[];
  residuals: { station: number; percent: number }[];
  checks: { name: string; found: string; wanted: string; state: 'holds' | 'failed' | 'undecided' }[];
  advice?: { text: string; next_pa?: number | null; seconds?: number | null; stop: boolean } | null;
  basis_sentence: string;
  restore: { id: string; label: string }[];
}

export interface TextFile {
  name: string;
  text: string;
}

export interface Sheet {
  html: string;
  files: TextFile[];
}

export interface Envelope<T> {
  schema: string;
  version: string;
  diagnostics: { severity?: string; message?: string; text?: string; help?: string }[];
  data: T;
}
