import type { Location, PropertyBag, Result, Suppression } from 'sarif';
import { unreadableWords } from './finding-words.js';
import { Identities } from './identity.js';
import { alsoWords, otherPlaces, pathOf } from './places.js';
import type { AssetReport, FindingReport, PlaceReport, RigReport } from './report-types.js';
import type { AssetArtifact } from './sarif-artifacts.js';
import { locationOf, regionOf, type SarifTarget, unreadableRegion } from './sarif-locations.js';
import type { LogicalTable } from './sarif-logical.js';
import { UNREADABLE_RULE } from './sarif-rules.js';
import { messageText } from './sarif-text.js';
import { visible } from './visible.js';

/** A versioned name of our own for the fingerprint (3.5.4.2); a new recipe takes a new number. */
const FINGERPRINT_KEY = 'trysquareIdentity/v2';

type Unreadable = NonNullable<AssetReport['unreadable']>;

/** What the results of one asset share. */
export interface ResultContext {
  readonly artifact: AssetArtifact;
  readonly target: SarifTarget;
  readonly logical: LogicalTable;
  readonly ruleIndex: ReadonlyMap<string, number>;
}

/** The results of one asset, in the order of its findings. */
export function assetResults(asset: AssetReport, context: ResultContext): Result[] {
  const { unreadable, findings, rigs } = asset;
  const identities = new Identities();
  // Services show every result as an alert, a suppressed one and one that is no fault, too.
  const all = context.target === 'standard';
  return [
    ...(unreadable === null ? [] : [unreadableResult(unreadable, context)]),
    ...findings
      .filter(({ waived }) => all || waived === undefined)
      .map((finding) => findingResult(finding, context)),
    ...(all ? rigs.flatMap((rig) => notApplicableResults(rig, identities, context)) : []),
  ];
}

/** What a person reads of an unreadable asset. */
export function unreadableMessage(unreadable: Unreadable): string {
  return `This file could not be read: ${unreadableWords(unreadable)}`;
}

function unreadableResult(unreadable: Unreadable, context: ResultContext): Result {
  const { artifact, target, logical } = context;
  const { where } = unreadable;
  const region = unreadableRegion(artifact, where, target);
  const pointer = logical.pointer(where?.startsWith('/') === true ? where : '');
  const anchor = { kind: 'asset', path: '' } as const;
  const parts = { rule: UNREADABLE_RULE.id, rig: null, aspect: null, anchor };
  return {
    ...ruleOf(UNREADABLE_RULE.id, context),
    level: 'error',
    message: messageText(unreadableMessage(unreadable)),
    locations: [locationOf(artifact, region, [pointer])],
    partialFingerprints: { [FINGERPRINT_KEY]: new Identities().next(parts) },
    suppressions: [],
  };
}

function findingResult(finding: FindingReport, context: ResultContext): Result {
  const location = placeLocation(finding.place, context);
  const related = relatedLocations(finding, context);
  return {
    ...ruleOf(finding.rule, context),
    level: finding.level,
    message: messageText(findingText(finding)),
    locations: [location],
    ...(related.length > 0 && { relatedLocations: related }),
    // On every result or on none (3.27.23); an empty list says that this one is not suppressed.
    suppressions: finding.waived === undefined ? [] : [suppressionOf(finding.waived)],
    properties: measures(finding, context),
    partialFingerprints: { [FINGERPRINT_KEY]: finding.identity },
  };
}

/** Locations that consumers take of one result, its own among them. */
const LOCATIONS = 1000;

/**
 * What a finding lists besides its worst place (3.27.22). `locations` is only for what has to be
 * changed everywhere at once (3.27.12); of twins, each can be mended by itself.
 */
function relatedLocations(finding: FindingReport, context: ResultContext): Location[] {
  const places = otherPlaces(finding).slice(0, LOCATIONS - 1);
  return places.map((place, at) => ({
    // Unique in its result (3.28.2), so that messages could link to it.
    id: at + 1,
    ...placeLocation(place, context),
    message: messageText(`Also at fault: ${pathOf(place)}`),
  }));
}

/** Rules that had nothing to judge, which the standard tells apart from rules that found nothing. */
function notApplicableResults(
  { name, joints, measured }: RigReport,
  identities: Identities,
  context: ResultContext,
): Result[] {
  const { artifact, target, logical } = context;
  const anchor = { kind: 'rig', path: name } as const;
  return measured.flatMap((entry): Result[] => {
    if (entry.kind !== 'not applicable') return [];
    const { rule, because } = entry;
    const parts = { rule, rig: name, aspect: 'not applicable', anchor };
    const region = regionOf(artifact, { node: joints[0]?.node ?? null, pointer: '' }, target);
    return [
      {
        ...ruleOf(rule, context),
        kind: 'notApplicable',
        // Any other kind than `fail` takes this level (3.27.10) and no rank (3.27.25).
        level: 'none',
        message: messageText(`Not applicable: ${because}`),
        locations: [locationOf(artifact, region, [logical.place('rig', name)])],
        partialFingerprints: { [FINGERPRINT_KEY]: identities.next(parts) },
        suppressions: [],
      },
    ];
  });
}

/** Without an index for a rule that nothing describes (3.27.6). */
function ruleOf(ruleId: string, context: ResultContext): Pick<Result, 'ruleId' | 'ruleIndex'> {
  const ruleIndex = context.ruleIndex.get(ruleId);
  return ruleIndex === undefined ? { ruleId } : { ruleId, ruleIndex };
}

/** Measure first, then what it leads to, then what to do; where else, since few viewers show related locations. */
function findingText(finding: FindingReport): string {
  const { message, remedy, consequences, beyond = [] } = finding;
  const step = message.includes(remedy) ? [] : [remedy];
  const also = alsoWords(otherPlaces(finding));
  return [message, ...consequences, ...beyond, ...step, also].join(' ').trim();
}

function placeLocation(place: PlaceReport, { artifact, target, logical }: ResultContext): Location {
  const named = [logical.place(place.kind, pathOf(place)), logical.pointer(place.pointer)];
  return locationOf(artifact, regionOf(artifact, place, target), named);
}

function measures(finding: FindingReport, { artifact, target }: ResultContext): PropertyBag {
  const { measured, limit, unit, counts, vertices, places } = finding;
  return {
    measured,
    limit,
    unit,
    ...(counts && { looked: counts.looked, short: counts.short }),
    ...(places.length > 1 && { places: places.length }),
    ...(vertices.length > 0 && { vertices }),
    ...(target === 'code-scanning' && artifact.jsonChunk),
  };
}

function suppressionOf({ why, by, until }: NonNullable<FindingReport['waived']>): Suppression {
  const end = until === null ? '' : `, until ${until}`;
  // No message, so braces and brackets mean nothing in it.
  return { kind: 'external', status: 'accepted', justification: visible(`${why} (${by}${end})`) };
}
