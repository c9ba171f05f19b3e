import { compareFindings } from '../../mend/compare-findings.js';
import type { MendResult, Offence } from '../../mend/mend-asset.js';
import type { PlayedRig } from '../../mend/played.js';
import { LARGEST_SHIFT, LARGEST_TURN } from '../../mend/proof/proof-limits.js';
import type { Proof, ProofPlace, Seen } from '../../mend/proof/proof-seen.js';
import { pathOf } from '../../report/places.js';
import type { AssetReport, FindingReport, PlaceReport } from '../../report/report-types.js';
import type { NotTaken } from './companions.js';
import type { Holds } from './mend-files.js';

/**
 * What became of an asset: mended and written, copied since it is sound as it is, left for the same
 * reason, only planned by a dry run, not written since nothing fit can be made of it, not written since
 * it could not be, or not read at all.
 */
export const OUTCOMES = [
  'written',
  'copied',
  'left',
  'planned',
  'refused',
  'failed',
  'unreadable',
] as const;
export type MendOutcome = (typeof OUTCOMES)[number];

/** All that is reported of the mend of one asset, as plain data. `mend-report-schema.ts` describes it. */
export type MendRecord = ReturnType<typeof recordOf> | ReturnType<typeof bareRecord>;

/** How the mend of an asset ended. */
export interface MendEnd {
  readonly outcome: MendOutcome;
  /** Why nothing was written; null where something was, or nothing had to be. */
  readonly why: string | null;
  /** The mended file, as the user knows it; null where none was written. */
  readonly out: string | null;
  readonly files: readonly { readonly path: string; readonly holds: Holds }[];
  readonly notTaken: readonly NotTaken[];
}

export function recordOf(
  result: MendResult,
  standard: string | null,
  { outcome, why, out, files, notTaken }: MendEnd,
) {
  const { before, after, changes, left, proof, offending, isTurned, allowed, notes } = result;
  // What a repair that shows would have made of it is nothing that anybody gets.
  const isMade = offending === null && isTurned;
  return {
    path: before.path,
    standard,
    approved: approvedOf(result),
    outcome,
    why,
    where: null,
    out,
    files,
    notTaken,
    before: verdictOf(before),
    after: isMade ? verdictOf(after) : null,
    changes,
    left,
    findings: isMade ? findingsOf(before, after) : null,
    proof: isMade ? proofOf(proof, allowed.length === 0) : null,
    offence: offending && offenceOf(offending),
    allowed,
    notes,
    renamed: Array.from(result.renamed, ([old, now]) => ({ old, now })),
  };
}

/** The record of an asset that was not mended: it could not be read, or there is no place for it. */
export function bareRecord(
  path: string,
  outcome: 'unreadable' | 'failed',
  why: string,
  where: string | null = null,
) {
  return {
    path,
    standard: null,
    approved: null,
    outcome,
    why,
    where,
    out: null,
    files: [],
    notTaken: [],
    before: null,
    after: null,
    changes: [],
    left: [],
    findings: null,
    proof: null,
    offence: null,
    allowed: [],
    notes: [],
    renamed: [],
  };
}

/** What its rigs are compared with, and what the clips made for that show on them, before and after. */
function approvedOf({ before, played }: MendResult) {
  if (before.approved === undefined) return null;
  return {
    path: before.approved,
    rigs: before.rigs.map(({ name, approved }) => ({
      rig: name,
      with: approved?.name ?? null,
      by: approved?.by ?? null,
    })),
    played:
      played?.map(({ rig, clips, before, after }) => ({
        rig,
        clips,
        before: shownOf(before),
        after: shownOf(after),
      })) ?? null,
  };
}

function shownOf({ degrees, percent, unfound }: PlayedRig['before']) {
  return { degrees, percentOfSize: percent, unfound };
}

function verdictOf({ verdict, counts }: AssetReport) {
  return { verdict, counts };
}

function findingsOf(before: AssetReport, after: AssetReport) {
  const { fresh, grown, risen, kept } = compareFindings(before, after);
  return {
    // Seen from the other end, what is gone is what is new.
    gone: compareFindings(after, before).fresh.map(findingOf),
    new: fresh.map(findingOf),
    spread: grown.map(({ finding, places }) => ({
      ...findingOf(finding),
      newPlaces: places.map(pathOf),
    })),
    risen: risen.map(({ finding, from }) => ({ ...findingOf(finding), from })),
    left: kept.map(findingOf),
  };
}

function findingOf({ rule, level, place, places, message, waived, identity }: FindingReport) {
  return {
    identity,
    rule,
    level,
    place: placeOf(place),
    places: places.length,
    message,
    waived: waived !== undefined,
  };
}

function placeOf(place: PlaceReport) {
  return { kind: place.kind, path: pathOf(place), node: place.node, pointer: place.pointer };
}

function proofOf(proof: Proof, isProof: boolean) {
  const { vertices, poses, directions, targets, stored, clips } = proof;
  return {
    // Where a change is allowed, it measures and proves nothing.
    isProof,
    vertices,
    poses,
    directions,
    targets,
    limits: { percentOfSize: 100 * LARGEST_SHIFT, degrees: LARGEST_TURN },
    most: seenOf(proof),
    stored: seenOf(stored),
    clips: seenOf(clips),
  };
}

function offenceOf({ repair, rules, proof }: Offence) {
  return { repair, rules, proof: proofOf(proof, false) };
}

function seenOf({ share, where, turn, turned }: Seen) {
  return {
    percentOfSize: 100 * share,
    at: where && proofPlaceOf(where),
    degrees: turn,
    turnedAt: turned && proofPlaceOf(turned),
  };
}

function proofPlaceOf({ rig, part, vertex, clip, time, target }: ProofPlace) {
  return { rig, part, vertex, clip, seconds: clip === null ? null : time, target };
}
