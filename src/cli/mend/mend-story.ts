import { readFileSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Settings } from '../../check/settings.js';
import { makeScene } from '../../draw/make-scene.js';
import type { MendStory, StoryClip, StoryFindings } from '../../draw/mended/mend-story.js';
import { pairRig, type RigPair } from '../../draw/mended/rig-pair.js';
import { compareFindings, keyed, rank } from '../../mend/compare-findings.js';
import type { Files } from '../../mend/file/pack-files.js';
import type { MendResult } from '../../mend/mend-asset.js';
import { looksOf } from '../../mend/proof/looks.js';
import { type ProofPlace, proveSame } from '../../mend/proof/proof.js';
import { LARGEST_SHIFT } from '../../mend/proof/proof-limits.js';
import { type ClipRecord, ProofRecord } from '../../mend/proof/proof-record.js';
import { reload } from '../../mend/proof/reload.js';
import type { LeftAlone } from '../../mend/repair.js';
import { REPAIRS } from '../../mend/repairs.js';
import { counted } from '../../report/finding-words.js';
import { pathOf } from '../../report/places.js';
import type { FindingReport } from '../../report/report-types.js';
import { version } from '../../report/version.js';
import { buildRigs } from '../../rig/build-rigs.js';
import { sameRigs } from '../../rig/file-order.js';
import type { RigModel } from '../../rig/types.js';
import { leftFor } from './left-words.js';
import { allowedWords, amount, placeWords, proofWords } from './proof-words.js';

/**
 * All that is shown of a mend. The file at `path` is read as it is, and compared with the result once more:
 * what is drawn over time is the difference of these two, whatever steps lie between them.
 *
 * @param out Name of the mended file; null for a plan alone.
 */
export async function tellStory(
  path: string,
  result: MendResult,
  settings: Settings,
  out: string | null,
): Promise<MendStory> {
  const folder = dirname(path);
  const [before, after] = await Promise.all([
    read({ main: readFileSync(path), buffers: new Map() }, folder),
    read(result.files, folder),
  ]);
  const record = new ProofRecord();
  const looks = [before.looks, after.looks] as const;
  const direct = proveSame(before.model, after.model, looks, settings.wanted, undefined, record);
  const { proof, allowed, changes } = result;
  const isAllowed = allowed.length > 0;
  return {
    file: result.before.path,
    out,
    tool: `trysquare ${version}`,
    standard: result.before.standard?.path ?? null,
    before: result.before,
    after: result.after,
    changes,
    findings: findingsOf(result),
    pairs: pairsOf(before.model, after.model, result, settings),
    proof: {
      words: proofWords(proof, isAllowed),
      allowed: isAllowed ? allowedWords(allowed, proof) : null,
      share: proof.share,
      percent: `${amount(100 * proof.share)} %`,
      stored: `at most ${amount(100 * direct.stored.share)} % of size${storedAt(direct.stored.where)}`,
      clips: record.list().map(clipOf),
      limit: LARGEST_SHIFT,
    },
  };
}

/** The pose is said already. */
function storedAt(place: ProofPlace | null): string {
  return placeWords(place).replace(', as stored', '');
}

async function read(files: Files, folder: string) {
  const asset = await reload(files, folder);
  const model = buildRigs(asset);
  return { model, looks: looksOf(asset, model) };
}

function pairsOf(
  before: RigModel,
  after: RigModel,
  result: MendResult,
  { wanted }: Settings,
): RigPair[] {
  const [old, now] = [makeScene(before, wanted), makeScene(after, wanted)];
  return sameRigs(before.rigs, after.rigs).flatMap(([rig, other]) => {
    const scenes = [old.rigs[rig.index], now.rigs[other?.index ?? -1]];
    const reports = [result.before.rigs[rig.index], result.after.rigs[other?.index ?? -1]];
    const [sceneBefore, sceneAfter] = scenes;
    const [reportBefore, reportAfter] = reports;
    if (!other || !sceneBefore || !sceneAfter || !reportBefore || !reportAfter) return [];
    return pairRig(
      { rig, scene: sceneBefore, report: reportBefore },
      { rig: other, scene: sceneAfter, report: reportAfter },
      wanted,
    );
  });
}

function clipOf({ name, samples }: ClipRecord): StoryClip {
  const worst = samples.reduce((most, one) => (one.share > most.share ? one : most));
  const share = `at most ${amount(100 * worst.share)} % of size`;
  const spot =
    worst.where === null ? `, at ${Number(worst.time.toFixed(3))} s` : placeWords(worst.where);
  return { name, samples, share: worst.share, where: `${share}${spot}` };
}

/** What became of the findings: each of before is gone or left, and each of after is left or new. */
function findingsOf({ before, after, left, renamed }: MendResult): StoryFindings {
  const { fresh, grown, risen, kept } = compareFindings(before, after);
  const still = new Set(keyed(after).flatMap(({ keys }) => keys));
  const gone = keyed(before)
    .filter(({ keys }) => keys.every((key) => !still.has(key)))
    .map(({ finding }) => finding);
  const worse = new Set([...grown, ...risen].map(({ finding }) => finding));
  const stayed = kept.filter((finding) => !worse.has(finding)).sort(bySeverity);
  const pathNow = (one: LeftAlone): string => renamed.get(one.place) ?? one.place;
  const isOf =
    ({ rule, place, places }: FindingReport) =>
    (one: LeftAlone): boolean =>
      one.rule === rule &&
      [place, ...places].some(({ path }) => path === one.place || path === pathNow(one));
  const told = new Set(stayed.flatMap((finding) => left.filter(isOf(finding))));
  // The rest is of findings that are told as new or worse, or that others stand for in the report.
  const rest = leftFor(left.filter((one) => !told.has(one)));
  return {
    gone: gone.sort(bySeverity),
    left: [
      ...stayed.map((finding) => ({
        rule: finding.rule,
        place: pathOf(finding.place),
        found: finding,
        why: whyLeft(finding, left.filter(isOf(finding))),
      })),
      ...rest.map(({ rule, places, why }) => ({
        rule,
        place: placesWords(places),
        found: null,
        why,
      })),
    ],
    fresh: [
      ...fresh.map((finding) => ({ finding, how: 'there was none before' })),
      ...grown.map(({ finding, places }) => ({
        finding,
        how: `now also at ${places.map(pathOf).join(', ')}`,
      })),
      ...risen.map(({ finding, from }) => ({
        finding,
        how: `${from} before, ${finding.level} now`,
      })),
    ],
  };
}

function placesWords([first = '', ...others]: readonly string[]): string {
  return others.length === 0 ? first : `${first} and ${counted(others.length, 'more place')}`;
}

/** What is most serious first, else in the order of the report. */
function bySeverity(a: FindingReport, b: FindingReport): number {
  return rank(a.level) - rank(b.level);
}

const MENDABLE = new Set(REPAIRS.flatMap(({ rules }) => rules));

function whyLeft({ rule, waived, remedy }: FindingReport, reasons: readonly LeftAlone[]): string {
  if (waived !== undefined) return `waived by ${waived.by}: ${waived.why}`;
  const told = leftFor(reasons);
  if (told.length === 1) return told[0]?.why ?? '';
  if (told.length > 1)
    return told.map(({ places, why }) => `${placesWords(places)}: ${why}`).join('. ');
  return MENDABLE.has(rule)
    ? 'this mend was not asked to change it'
    : `trysquare has no repair for it. By hand: ${remedy}`;
}
