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
}

/** The letterhead; the lines of the address are parted by line breaks. */
export interface Firm {
  name: string;
  address: string;
  phone: string;
  licence: string;
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
  calibrations: Calibration[];
}

/** One range of a fan that shows its pressure; its name is the user's own. */
export interface Calibration {
  name: string;
  kind: 'equation' | 'table';
  flow: string;
  exponent: string;
  low: string;
  high: string;
  points: { pressure: string; flow: string }[];
}

export interface Prepared {
  id: string;
  state: OpeningState | '';
  restored: boolean;
}

export interface Station {
  house: string;
  /** One a fan. */
  fans: string[];
  /** One a fan: number of the range, from 1, where the fan has several. */
  ranges: string[];
}

/** The run in the other direction. */
export interface Second {
  baseline_before: string[];
  baseline_after: string[];
  stations: Station[];
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
  firm: Firm;
  conditions: { indoor: string; outdoor: string; indoor_rh: string; outdoor_rh: string; wind: string; barometer: string };
  gauge: Gauge;
  /** All that run at once, in the order of a station's numbers. */
  fans: Fan[];
  preparation: Prepared[];
  baseline_before: string[];
  baseline_after: string[];
  stations: Station[];
  second: Second | null;
  /** Marks of the questions that were answered with "it is right". */
  accepted: string[];
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
    | 'air_change'
    | 'humidity',
    string
  >
>;

export interface WordsAnswer {
  words: Record<string, string>;
  units: Record<System, UnitOf>;
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
  /** The question with the value it is about: an answer holds as long as both stay. */
  mark: string;
}

export interface Advice {
  text: string;
  next_pa?: number | null;
  seconds?: number | null;
  stop: boolean;
}

export interface Look {
  missing: { field: string; text: string }[];
  challenges: Challenge[];
  answer?: Answer | null;
  others: { label: string; text: string }[];
  history: Step[];
  /** `run` 0 is the first direction. */
  residuals: { run: number; station: number; percent: number }[];
  /** `recalled`: the limit is one that nobody held against its source, and decides nothing. */
  checks: { name: string; found: string; wanted: string; state: 'holds' | 'failed' | 'undecided'; recalled?: boolean }[];
  advice?: Advice | null;
  second_advice?: Advice | null;
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
  diagnostics: Said[];
  data: T;
}

/** What the command line prints and writes, beside the envelope. */
export interface Answered<T> extends Envelope<T | null> {
  summary: string;
  /** Derived documents. */
  documents: TextFile[];
  /** Documents of the job itself that the question writes. */
  changed: TextFile[];
}

/** What the engine says of the documents. */
export interface Said {
  code?: string;
  severity?: string;
  message?: string;
  text?: string;
  because?: string;
  help?: string;
  file?: string | null;
  line?: number | null;
}

/** An edit of one field, as the engine's documents take it. */
export interface Operation {
  path: string;
  key: (string | number)[];
  do: 'set' | 'remove' | 'insert' | 'write';
  value?: string;
  text?: string;
}

/** A part of a page, drawn by the engine. */
export interface FragmentPart {
  id: string;
  title: string;
  html: string;
}

export interface Field {
  /** Dotted, such as `leak.floor.at50`. */
  key: string;
  label: string;
  /** As it stands in TOML. */
  value: string;
  /** As people read it. */
  text: string;
  quoted: boolean;
}

export interface ZoneOnPage {
  id: string;
  label: string;
  levels: { label: string; value: string }[];
  path: string;
  fields: Field[];
}

export interface PassageOnPage {
  label: string;
  from: string;
  to: string;
  flow: string;
  known: { label: string; before: string; after: string; from_readings: string }[];
  path: string | null;
  fields: Field[];
}

/** How the house stands on the page; what is not named stands as on a cold evening. */
export interface Scene {
  weather: 'cold' | 'mild' | 'hot';
  doors: Record<string, boolean>;
  runs: Record<string, boolean>;
  fan_pa: number | null;
  zone: string | null;
}

export interface Switch {
  kind: 'door' | 'fan' | 'handler';
  name: string;
  label: string;
  on: boolean;
}

export interface HousePage {
  job: string;
  house: boolean;
  fitted?: boolean;
  scene?: { weather: Scene['weather']; switches: Switch[]; fan_pa: number | null };
  fragments?: FragmentPart[];
  zones?: ZoneOnPage[];
  passages?: PassageOnPage[];
  trouble?: string;
}

export interface JobPage {
  job: string;
  house: boolean;
  fitted: boolean;
  stopped: boolean;
  fragments: FragmentPart[];
  questions?: { value: string; label: string }[];
  /** Parts of the full record. */
  parts?: { value: string; label: string }[];
  lived?: boolean;
  written?: number;
  keep?: TextFile | null;
  documents?: (TextFile & { label: string })[];
}

export interface BeginAnswers {
  name: string;
  language: Language;
  units: System;
  floor_area: string;
  height: string;
  storeys: number;
  bedrooms: number;
  foundation: 'slab' | 'crawl' | 'basement';
  attic: boolean;
  garage: boolean;
  ducts: 'none' | 'inside' | 'attic' | 'below' | 'garage';
  tightness: 'tight' | 'usual' | 'leaky';
  burns: ('water-heater' | 'furnace' | 'fireplace')[];
  year_built: number | null;
}
