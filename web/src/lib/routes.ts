// Every address of the app. The pages are switched by these lists, and the tests walk them: what stands
// here and is not visited by them fails, and what does not stand here cannot be opened.

export const PAGES = ['tests', 'books', 'device', 'desk', 'new-house'] as const;

/** The pages of one job, in the order of the bar. */
export const JOB_PARTS = ['house', 'visit', 'known', 'plans', 'watch', 'report', 'papers'] as const;
export type JobPart = (typeof JOB_PARTS)[number];

/** The steps of a visit; behind `test.` and `how.` stands which. */
export const VISIT_STEPS = [
  'complaints',
  'books',
  'screen',
  'conditions',
  'instruments',
  'readings',
  'photos',
  'changed',
  'restore',
  'read',
  'test',
  'how',
] as const;
export type VisitStep = (typeof VISIT_STEPS)[number];

/** The steps of a test in a visit that are typed with the pad, as they stand in its address. */
export const TYPED_STEPS = ['baseline', 'points', 'after'] as const;
export type TypedStep = (typeof TYPED_STEPS)[number];

export const PLANS_VIEWS = ['compare', 'build'] as const;
export type PlansView = (typeof PLANS_VIEWS)[number];

/** The nine steps of a single test. */
export const STEPS = ['profile', 'place', 'instruments', 'preparation', 'baseline', 'points', 'after', 'restore', 'sheet'] as const;
export type StepName = (typeof STEPS)[number];

const among = <T extends string>(list: readonly T[], name: string): T | undefined => list.find((one) => one === name);

/** Which step of a visit an address names; none for the whole visit. */
export const visitStep = (name: string): VisitStep | undefined => among(VISIT_STEPS, name.split('.')[0] ?? '');
export const jobPart = (name: string): JobPart | undefined => among(JOB_PARTS, name);
export const plansView = (name: string): PlansView => among(PLANS_VIEWS, name) ?? 'compare';

/** Every place there is, each once, without the ids. */
export function places(): string[] {
  return [
    ...PAGES,
    ...STEPS.map((step) => `test/${step}`),
    ...JOB_PARTS.map((part) => `job/${part}`),
    ...VISIT_STEPS.map((step) => `job/visit/${step}`),
    ...TYPED_STEPS.map((step) => `job/visit/test.${step}`),
    ...PLANS_VIEWS.map((view) => `job/plans/${view}`),
    'job/papers/document',
  ];
}
