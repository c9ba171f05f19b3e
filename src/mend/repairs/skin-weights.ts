import { limitsOf } from '../../check/settings.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';
import {
  isUnseen,
  type Option,
  option,
  type Trial,
  tryWeights,
  UNSEEN,
  UNTURNED,
} from '../weights/unseen-weights.js';
import {
  faultsOf,
  type Influences,
  largestDropped,
  mendedWeights,
  sumOf,
  type WantedWeights,
  type WeightFault,
} from '../weights/vertex-weights.js';
import {
  influencesOf,
  morphedPart,
  setInfluences,
  storeGroup,
  type WeightGroup,
  weightGroups,
} from '../weights/weight-groups.js';
import { type Reason, RULE_OF, Tally } from '../weights/weight-tally.js';

/**
 * Gives vertices one weight a joint, none below zero, no more than the budget, and a sum of 1, as far
 * as they then stay where they are in the stored pose and in every clip. What would move a vertex is
 * a painter's choice: it is left alone, and counted.
 */
export const skinWeights: Repair = {
  name: 'weights',
  tells:
    'Weights are merged, reduced to the budget and brought to a full sum (whole steps by largest remainder), if no vertex moves in any pose of the file (other poses may show what was dropped), or also otherwise if `--allow-change` allows it.',
  rules: ['skin.sum', 'skin.repeat', 'skin.budget'],
  mend(context: MendContext): Mended {
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const seen = new Set<string>();
    for (const group of weightGroups(context.edit, context.model)) {
      const morphed = morphedPart(context.edit, group);
      const found = context.findings.flatMap(({ rule, places }) => {
        const place = places.find(({ name }) => name === morphed?.label);
        return place === undefined ? [] : [{ rule, place: place.path, why: WHY_MORPHED }];
      });
      if (morphed !== undefined && !found.every(({ rule }) => context.allow.has(rule))) {
        left.push(...found);
        continue;
      }
      const mended = mendGroup(context, group, seen);
      changes.push(...mended.changes);
      left.push(...mended.left);
    }
    return { changes, left, seen: [...seen].sort() };
  },
};

const WHY_MORPHED =
  'it has morph targets, and a weight that is not visible now may become visible in their shapes';

/** Sums of 32-bit floats come no nearer to 1 for certain: a dozen roundings of 2^-25. */
const FLOAT_SUM = 12 * 2 ** -25;

/** @param seen Takes the rules for which vertices were moved, as was allowed. */
function mendGroup(context: MendContext, group: WeightGroup, seen: Set<string>): Mended {
  const wanted = wantedOf(context, group);
  const tally = new Tally(group.parts[0]?.part.label ?? 'mesh', wanted);
  const trials: (Trial & { readonly stored: Influences; readonly faults: Set<WeightFault> })[] = [];
  for (let vertex = 0; vertex < group.vertexCount; vertex++) {
    const stored = influencesOf(group, vertex);
    const faults = faultsOf(stored, wanted);
    if (faults.size === 0) continue;
    // What is not a number is filled in by the repair of weights from around.
    if (!stored.every(({ weight }) => Number.isFinite(weight))) continue;
    const reason = untouchable(group, stored);
    if (reason !== null) {
      tally.leave(faults, reason, 0);
      continue;
    }
    const others = mendedWeights(stored, wanted);
    const options = others.map((list) => option(stored, list, wanted.full));
    trials.push({ vertex, stored, faults, options });
  }
  if (trials.length > 0)
    for (const shown of group.parts) {
      const { rig, part } = shown;
      const look = context.looks?.parts[rig.index]?.[rig.parts.indexOf(part)];
      tryWeights(shown, trials, look?.normals ?? null, size(context.facts(rig)));
    }
  for (const { vertex, stored, faults, options } of trials) {
    const mendedBy = ({ influences }: Option): WeightFault[] => {
      const rest = faultsOf(influences, wanted);
      return [...faults].filter((fault) => !rest.has(fault));
    };
    const isAllowed = (choice: Option): boolean =>
      mendedBy(choice).every((fault) => context.allow.has(RULE_OF[fault]));
    const better = options.filter((choice) => mendedBy(choice).length > 0);
    const unseen = better.find(isUnseen);
    const chosen = unseen ?? better.find(isAllowed);
    const mended = chosen === undefined ? [] : mendedBy(chosen);
    if (unseen === undefined) for (const fault of mended) seen.add(RULE_OF[fault]);
    if (chosen !== undefined) setInfluences(group, vertex, chosen.influences);
    const now = chosen?.influences ?? stored;
    tally.mend(mended, largestDropped(stored, now));
    const isRounding = Math.abs(sumOf(now) - 1) <= FLOAT_SUM;
    const [first] = options;
    const turns = first !== undefined && first.moved <= UNSEEN && first.turned > UNTURNED;
    for (const fault of faultsOf(now, wanted)) {
      if (fault === 'off sum' && isRounding) tally.leave([fault], 'rounding', 0);
      else if (turns) tally.leave([fault], 'turns', first.turned);
      else tally.leave([fault], 'moves', first?.moved ?? Infinity);
    }
  }
  const mended = tally.told();
  if (mended.changes.length > 0) storeGroup(context.edit, group);
  return mended;
}

/** What the weights of a group are held to: only what a rule found wrong. */
function wantedOf(
  { findings, settings }: MendContext,
  { parts, full }: WeightGroup,
): WantedWeights {
  const rigs = new Set(parts.map(({ rig }) => rig.index));
  const isFound = (id: string): boolean =>
    findings.some(({ rule, rig }) => rule === id && rig !== null && rigs.has(rig));
  const limit = (id: string, name: string): number => {
    const rule = settings.rules.find((known) => known.id === id);
    return (rule === undefined ? undefined : limitsOf(settings, rule)[name]) ?? Infinity;
  };
  const tolerance = full === null || full === 1 ? limit('skin.sum', 'warn') : 0;
  return {
    full: full ?? 1,
    tolerance: isFound('skin.sum') ? tolerance : Infinity,
    budget: isFound('skin.budget') ? limit('skin.budget', 'influences') : Infinity,
    single: isFound('skin.repeat'),
  };
}

function untouchable({ parts, full }: WeightGroup, stored: Influences): Reason | null {
  if (full === null) return 'two storages';
  const counts = parts.map(({ rig, part }) => rig.skins[part.skin]?.jointOfSlot.length ?? 0);
  return stored.some(({ slot }) => slot >= Math.min(...counts)) ? 'past the joints' : null;
}
