import { type Judged, LEVELS, type NotApplicable } from '../kit/finding.js';
import type { Rig } from '../rig/types.js';

type Test = (value: unknown) => boolean;
type Parts = Readonly<Record<string, readonly [test: Test, wanted: string]>>;

const isText: Test = (value) => typeof value === 'string';
const isNumber: Test = (value) => typeof value === 'number';
const isCount: Test = (value) => Number.isInteger(value) && Number(value) >= 0;
const isPoint: Test = (value) =>
  Array.isArray(value) && value.length === 3 && value.every(isNumber);
const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null;
const listOf =
  (test: Test): Test =>
  (value) =>
    Array.isArray(value) && value.every(test);
const ifThere =
  (test: Test): Test =>
  (value) =>
    value === undefined || test(value);

/** A report that has no room for them would lose what all other rules found. */
const MOST_FINDINGS = 10_000;

const OUTCOME: Parts = {
  things: [isText, 'text'],
  looked: [isCount, 'a whole number, 0 or more'],
  short: [isCount, 'a whole number, 0 or more'],
  elsewhere: [ifThere(isCount), 'a whole number, 0 or more'],
  findings: [Array.isArray, 'a list'],
};

/** What every report relies on in a finding. */
const FINDING: Parts = {
  level: [(value) => LEVELS.some((level) => level === value), LEVELS.join(', ')],
  measured: [isNumber, 'a number'],
  limit: [(value) => value === null || Number.isFinite(value), 'a number, or null'],
  unit: [isText, 'text'],
  aspect: [ifThere(isText), 'text'],
  covers: [ifThere(listOf(isText)), 'a list of rules'],
  measures: [ifThere(listOf(isNumber)), 'a list of numbers'],
  vertices: [ifThere(listOf(isCount)), 'a list of whole numbers'],
  also: [
    ifThere(listOf((each) => isObject(each) && isNumber(each.measured) && isText(each.unit))),
    'a list of { measured, unit }',
  ],
  counts: [
    ifThere((value) => isObject(value) && isCount(value.looked) && isCount(value.short)),
    '{ looked, short }',
  ],
  evidence: [ifThere(listOf(isEvidence)), 'a list of points, arrows and lines'],
  details: [
    (value) => isPlain(value),
    'made of text, numbers, true, false, null, lists and objects alone, at most 20 deep',
  ],
};

/**
 * What a rule of other people gives, once it is known to be what a report can hold. Throws Error that
 * says what is wrong with it, of the function `from`.
 *
 * @param rig Where the indices of places lead; null for a rule about an asset.
 */
export function refuseOutcome(
  value: unknown,
  rig: Rig | null,
  from: string,
): Judged | NotApplicable {
  refusePromise(value, from);
  if (!isObject(value) || (value.kind !== 'judged' && value.kind !== 'not applicable'))
    throw new Error(`its ${from} must return judged(...) or notApplicable(...)`);
  if (value.kind === 'not applicable')
    refuseParts(value, { because: [isText, 'text'] }, `its ${from} gives notApplicable(...)`);
  else {
    refuseParts(value, OUTCOME, `its ${from} gives judged(...)`);
    // `OUTCOME` holds it to be a list.
    const findings = value.findings as readonly unknown[];
    if (findings.length > MOST_FINDINGS)
      throw new Error(
        `its ${from} gives ${findings.length} findings (limit ${MOST_FINDINGS}); give one finding with several places instead`,
      );
    for (const finding of findings) refuseFinding(finding, rig, from);
  }
  // All parts of these types were looked at; what is in `details` is the rule's own.
  return value as unknown as Judged | NotApplicable;
}

/** An answer that comes later is none, and one that fails later must not end the process. */
export function refusePromise(value: unknown, from: string): void {
  if (!(value instanceof Promise)) return;
  value.catch(() => undefined);
  throw new Error(`its ${from} gives a promise; a rule must answer at once`);
}

function refuseFinding(value: unknown, rig: Rig | null, from: string): void {
  const what = `its ${from} gives a finding`;
  if (!isObject(value)) throw new Error(`${what} that is no object`);
  refuseParts(value, FINDING, what);
  const { place, places, anchor, joints } = value;
  const isPlace: Test = (each) => leadsSomewhere(each, rig);
  const isJoint: Test = (joint) => isPlace({ kind: 'joint', joint });
  refuseParts(
    { place, places, anchor, joints },
    {
      place: [isPlace, 'a place that the rig has'],
      places: [ifThere(listOf(isPlace)), 'a list of places that the rig has'],
      anchor: [ifThere(isPlace), 'a place that the rig has'],
      joints: [ifThere(listOf(isJoint)), 'a list of joints that the rig has'],
    },
    what,
  );
}

function refuseParts(value: Readonly<Record<string, unknown>>, parts: Parts, what: string): void {
  for (const [key, [test, wanted]] of Object.entries(parts))
    if (!test(value[key])) throw new Error(`${what} whose "${key}" is wrong; it must be ${wanted}`);
}

function leadsSomewhere(place: unknown, rig: Rig | null): boolean {
  if (!isObject(place)) return false;
  const { kind } = place;
  if (kind === 'asset') return true;
  if (rig === null) return false;
  const isBelow = (index: unknown, count: number): boolean =>
    isCount(index) && Number(index) < count;
  switch (kind) {
    case 'rig':
      return true;
    case 'joint':
      return isBelow(place.joint, rig.joints.count);
    case 'node':
      return isBelow(place.node, rig.nodes.count);
    case 'part':
      return isBelow(place.part, rig.parts.length);
    case 'skin':
      return isBelow(place.skin, rig.skins.length);
    default:
      return false;
  }
}

function isEvidence(value: unknown): boolean {
  if (!isObject(value) || !isText(value.label)) return false;
  if (value.kind === 'point') return isPoint(value.at);
  if (value.kind === 'arrow') return isPoint(value.from) && isPoint(value.along);
  return value.kind === 'line' && listOf(isPoint)(value.points);
}

/** Details that are nested deeper may have no end. */
const DEEPEST = 20;

/** Whether a value can be written down as JSON and read again: a map or a class would come back empty. */
function isPlain(value: unknown, depth = 0): boolean {
  if (value === undefined || value === null) return true;
  if (typeof value !== 'object')
    return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean';
  if (depth === DEEPEST) return false;
  const isIn = (each: unknown): boolean => isPlain(each, depth + 1);
  if (Array.isArray(value)) return value.every(isIn);
  const base: unknown = Object.getPrototypeOf(value);
  const isBare = base === null || Object.getPrototypeOf(base) === null;
  return isBare && Object.values(value).every(isIn);
}
