import { defaultSettings } from '../../check/settings.js';
import type { Rule } from '../../kit/rule.js';
import type { AssetReport, FindingReport } from '../../report/report-types.js';
import { type ApprovedFile, failingIn, type SeenFile } from './approved-file.js';
import { type ContractFacts, contractFacts } from './contract.js';
import { conventionsFrom, disagreements, houseOf, type Refused } from './house.js';
import { Loosening } from './loosening.js';
import { type RigSeen, seeRigs } from './rig-seen.js';
import { settle } from './settle.js';
import { type LikeDraft, likeText } from './write-like.js';

export type { ApprovedFile } from './approved-file.js';

/** A standard that was made from approved rigs. */
export interface Like {
  readonly text: string;
  readonly rigs: number;
  /** What the rigs disagree in, a sentence each. */
  readonly disagreements: readonly string[];
  /** Rules with other limits, and with a milder level, than by default, so that the rigs are sound. */
  readonly limits: readonly string[];
  readonly levels: readonly string[];
}

/** What was made, if anything, and what could not be read. */
export interface LikeResult {
  /** Null where no rig was found. */
  readonly like: Like | null;
  readonly unreadable: readonly AssetReport[];
  /** Names of files that hold no rig. */
  readonly empty: readonly string[];
}

/**
 * Makes a standard under which all of these rigs are sound: with the conventions that all have and the
 * default limits, loosened where a rig needs it. The text is read back as a check would, and the rigs
 * are held to it, until all are sound. Throws AssetError for a file that cannot be read a second time.
 */
export async function standardLike(
  files: readonly ApprovedFile[],
  rules: readonly Rule[],
): Promise<LikeResult> {
  const seen: SeenFile[] = [];
  const unreadable: AssetReport[] = [];
  const empty: string[] = [];
  const settings = defaultSettings(rules);
  for (const file of files) {
    let rigs: RigSeen[] = [];
    const report = await file.read(settings, (model) => {
      rigs = seeRigs(model, file.name, settings.wanted);
    });
    if (report.unreadable !== null) unreadable.push(report);
    else if (rigs.length === 0) empty.push(file.name);
    else {
      const isPosed = new Set(report.findings.filter(isOfPose).map(({ rig }) => rig));
      const all = rigs.map((rig, index) => ({ ...rig, isPosed: isPosed.has(index) }));
      seen.push({ file, rigs: all, failing: failingIn(report.findings) });
    }
  }
  const like = seen.length === 0 ? null : await likeOf(seen, rules);
  return { like, unreadable, empty };
}

/** Whether a finding says that a rig is stored in another pose than its bind pose. */
function isOfPose({ rule, aspect }: FindingReport): boolean {
  return rule === 'rest.bind' && aspect === null;
}

async function likeOf(seen: readonly SeenFile[], rules: readonly Rule[]): Promise<Like> {
  const rigs = seen.flatMap((one) => one.rigs);
  const house = houseOf(rigs);
  const contract = contractFacts(rigs);
  const refused: Refused = {};
  for (const conventions of conventionsFrom(house)) {
    const loosening = withBudget(contract, rules);
    const left: ReadonlyMap<string, number> = new Map();
    const draft: LikeDraft = { house, conventions, refused, contract, loosening, left };
    const settled = await settle(draft, seen, rules);
    if (typeof settled !== 'string')
      return {
        text: likeText({ ...draft, left: settled }, rules),
        rigs: rigs.length,
        disagreements: disagreements(house, refused, contract),
        limits: [...loosening.limits.keys()],
        levels: [...loosening.levels.keys()],
      };
    refused[conventions.up === null ? 'aim' : 'up'] = settled;
  }
  throw new Error('a standard that asks for no axis refuses no rig');
}

/** Room for the skins that the rigs have, though more than is usual makes no rig unsound. */
function withBudget({ most }: ContractFacts, rules: readonly Rule[]): Loosening {
  const loosening = new Loosening(rules);
  const specs = rules.find(({ id }) => id === 'skin.budget')?.limits ?? {};
  for (const [name, { value, rig }] of [
    ['joints', most.skinJoints],
    ['influences', most.influences],
  ] as const) {
    const spec = specs[name];
    if (spec !== undefined && value > spec.default)
      loosening.grant('skin.budget', name, { value, unit: spec.unit, measured: value, rig });
  }
  return loosening;
}
