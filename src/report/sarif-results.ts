import type { Location, PropertyBag, Result, Suppression } from 'sarif';
import { Identities } from './identity.js';
import { alsoWords, otherPlaces, pathOf } from './places.js';
import type { AssetReport, FindingReport, PlaceReport, RigReport } from './report-types.js';
import type { AssetArtifact } from './sarif-artifacts.js';
import { locationOf, regionOf, type SarifTarget, unreadableRegion } from './sarif-locations.js';
import type { LogicalTable } from './sarif-logical.js';
import { UNREADABLE_RULE } from './sarif-rules.js';
import { MESSAGE_LENGTH, plainText } from './sarif-text.js';
import { visible } from './visible.js';

/** A versioned name of our own for the fingerprint (3.5.4.2); a new recipe takes a new number. */
export const FINGERPRINT_KEY = 'trysquareIdentity/v2';

/** What the results of one log share. */
export interface ResultContext {
  readonly target: SarifTarget;
  readonly logical: LogicalTable;
  readonly ruleIndex: ReadonlyMap<string, number>;
}

/** The results of one asset, in the order of its findings. */
export function assetResults(
  asset: AssetReport,
  artifact: AssetArtifact,
  context: ResultContext,
): Result[] {
  const identities = new Identities();
  const results: Result[] = [];
  if (asset.unreadable !== null)
    results.push(unreadableResult(asset.unreadable, artifact, context));
  for (const finding of asset.findings) {
    const partialFingerprints = { [FINGERPRINT_KEY]: finding.identity };
    // Services show every result as an alert, a suppressed one too.
    if (context.target === 'code-scanning' && finding.waived !== undefined) continue;
    results.push({ ...findingResult(finding, artifact, context), partialFingerprints });
  }
  // The same holds for results that are no fault.
  if (context.target === 'standard')
    for (const rig of asset.rigs)
      for (const item of notApplicableResults(rig, artifact, identities, context))
        results.push(item);
  return results;
}

/** What a person reads of an unreadable asset. */
export function unreadableMessage(unreadable: NonNullable<AssetReport['unreadable']>): string {
  const { reason, where } = unreadable;
  const text = `This file could not be read: ${reason}${where === null ? '' : ` (at ${where})`}.`;
  return plainText(text, MESSAGE_LENGTH);
}

function unreadableResult(
  unreadable: NonNullable<AssetReport['unreadable']>,
  artifact: AssetArtifact,
  context: ResultContext,
): Result {
  const region = unreadableRegion(artifact, unreadable.where, context.target);
  const pointer = unreadable.where?.startsWith('/') === true ? unreadable.where : '';
  const indices = [context.logical.pointer(pointer)];
  return {
    ...ruleOf(UNREADABLE_RULE.id, context),
    level: 'error',
    message: { text: unreadableMessage(unreadable) },
    locations: [locationOf(artifact, region, context.logical, indices)],
    partialFingerprints: {
      [FINGERPRINT_KEY]: new Identities().next({ rule: UNREADABLE_RULE.id, ...WHOLE }),
    },
    suppressions: [],
  };
}

function findingResult(
  finding: FindingReport,
  artifact: AssetArtifact,
  context: ResultContext,
): Result {
  const { place } = finding;
  const region = regionOf(artifact, place, context.target);
  const indices = placeIndices(place, context.logical);
  const related = relatedLocations(finding, artifact, context);
  return {
    ...ruleOf(finding.rule, context),
    level: finding.level,
    message: { text: plainText(findingText(finding), MESSAGE_LENGTH) },
    locations: [locationOf(artifact, region, context.logical, indices)],
    ...(related.length > 0 && { relatedLocations: related }),
    // On every result or on none (3.27.23); an empty list says that this one is not suppressed.
    suppressions: finding.waived === undefined ? [] : [suppressionOf(finding.waived)],
    properties: measures(finding, artifact, context.target),
  };
}

/** Locations that consumers take of one result, its own among them. */
const LOCATIONS = 1000;

/**
 * What a finding lists besides its worst place (3.27.22). `locations` is only for what has to be
 * changed everywhere at once (3.27.12); of twins, each can be mended by itself.
 */
function relatedLocations(
  finding: FindingReport,
  artifact: AssetArtifact,
  context: ResultContext,
): Location[] {
  return otherPlaces(finding)
    .slice(0, LOCATIONS - 1)
    .map((place, at) => ({
      // Unique in its result (3.28.2), so that messages could link to it.
      id: at + 1,
      ...locationOf(
        artifact,
        regionOf(artifact, place, context.target),
        context.logical,
        placeIndices(place, context.logical),
      ),
      message: { text: plainText(`Also at fault: ${pathOf(place)}`, MESSAGE_LENGTH) },
    }));
}

/** Rules that had nothing to judge, which the standard tells apart from rules that found nothing. */
function notApplicableResults(
  rig: RigReport,
  artifact: AssetArtifact,
  identities: Identities,
  context: ResultContext,
): Result[] {
  const spot = { node: rig.joints[0]?.node ?? null, pointer: '' };
  return rig.measured.flatMap((measured): Result[] => {
    if (measured.kind !== 'not applicable') return [];
    const region = regionOf(artifact, spot, context.target);
    const indices = [context.logical.place('rig', rig.name)];
    return [
      {
        ...ruleOf(measured.rule, context),
        kind: 'notApplicable',
        // Any other kind than `fail` takes this level (3.27.10) and no rank (3.27.25).
        level: 'none',
        message: { text: plainText(`Not applicable: ${measured.because}`, MESSAGE_LENGTH) },
        locations: [locationOf(artifact, region, context.logical, indices)],
        partialFingerprints: {
          [FINGERPRINT_KEY]: identities.next({
            rule: measured.rule,
            rig: rig.name,
            aspect: 'not applicable',
            anchor: { kind: 'rig', path: rig.name },
          }),
        },
        suppressions: [],
      },
    ];
  });
}

function ruleOf(ruleId: string, context: ResultContext): Pick<Result, 'ruleId' | 'ruleIndex'> {
  const ruleIndex = context.ruleIndex.get(ruleId);
  // Absent for a rule that nothing describes (3.27.6).
  return ruleIndex === undefined ? { ruleId } : { ruleId, ruleIndex };
}

/** Measure first, then what it leads to, then what to do; where else, since few viewers show related locations. */
function findingText(finding: FindingReport): string {
  const { message, remedy, consequences, beyond = [] } = finding;
  const said = message.includes(remedy)
    ? [message, ...consequences, ...beyond]
    : [message, ...consequences, ...beyond, remedy];
  return [...said, alsoWords(otherPlaces(finding))].join(' ').trim();
}

function placeIndices(place: PlaceReport, logical: LogicalTable): (number | null)[] {
  return [logical.place(place.kind, pathOf(place)), logical.pointer(place.pointer)];
}

function measures(
  finding: FindingReport,
  artifact: AssetArtifact,
  target: SarifTarget,
): PropertyBag {
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

function suppressionOf(waiver: NonNullable<FindingReport['waived']>): Suppression {
  const until = waiver.until === null ? '' : `, until ${waiver.until}`;
  return {
    kind: 'external',
    status: 'accepted',
    // No message, so braces and brackets mean nothing in it.
    justification: visible(`${waiver.why} (${waiver.by}${until})`),
  };
}

/** What a result about the asset as a whole is known by. */
const WHOLE = { rig: null, aspect: null, anchor: { kind: 'asset', path: '' } } as const;
