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
} from '../weights/vertex-weights.js';
import {
  influencesOf,
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
      const morphed = group.parts.find(({ part: { mesh, primitive } }) => {
        const { targets } = context.edit.json.meshes?.[mesh]?.primitives[primitive] ?? {};
        return (targets ?? []).length > 0;
      });
      const told = context.findings.flatMap(({ rule, places }) => {
        const place = places.find(({ name }) => name === morphed?.part.label);
        return place === undefined ? [] : [{ rule, place }];
      });
      if (morphed !== undefined && !told.every(({ rule }) => context.allow.has(rule))) {
        for (const { rule, place } of told)
          left.push({
            rule,
            place: place.path,
            why: 'it has morph targets, and a weight that is not visible now may become visible in their shapes',
          });
        continue;
      }
      const tally = mendGroup(context, group, seen);
      changes.push(...tally.changes);
      left.push(...tally.left);
    }
    return { changes, left, seen: [...seen].sort() };
  },
};

/** Sums of 32-bit floats come no nearer to 1 for certain: a dozen roundings of 2^-25. */
const FLOAT_SUM = 12 * 2 ** -25;

/** @param seen Takes the rules for which vertices were moved, as was allowed. */
function mendGroup(context: MendContext, group: WeightGroup, seen: Set<string>): Mended {
  const wanted = wantedOf(context, group);
  const tally = new Tally(group.parts[0]?.part.label ?? 'mesh', wanted);
  const trials: (Trial & { readonly own: Influences })[] = [];
  for (let vertex = 0; vertex < group.vertexCount; vertex++) {
    const own = influencesOf(group, vertex);
    const faults = faultsOf(own, wanted);
    if (faults.size === 0) continue;
    const reason = untouchable(group, own);
    if (reason !== null) tally.leave(faults, reason, 0);
    else
      trials.push({
        vertex,
        own,
        options: mendedWeights(own, wanted).map((list) => option(own, list, wanted.full)),
      });
  }
  if (trials.length > 0)
    for (const shown of group.parts) {
      const { rig, part } = shown;
      const look = context.looks?.parts[rig.index]?.[rig.parts.indexOf(part)];
      tryWeights(shown, trials, look?.normals ?? null, size(context.facts(rig)));
    }
  for (const { vertex, own, options } of trials) {
    const before = faultsOf(own, wanted);
    const rulesMended = ({ influences }: Option): string[] => {
      const rest = faultsOf(influences, wanted);
      return [...before].filter((fault) => !rest.has(fault)).map((fault) => RULE_OF[fault]);
    };
    const better = options.filter((item) => rulesMended(item).length > 0);
    const unseen = better.find(isUnseen);
    const allowed = better.find((item) => rulesMended(item).every((id) => context.allow.has(id)));
    const chosen = unseen ?? allowed;
    if (unseen === undefined && allowed !== undefined)
      for (const id of rulesMended(allowed)) seen.add(id);
    if (chosen !== undefined) setInfluences(group, vertex, chosen.influences);
    const after = chosen === undefined ? before : faultsOf(chosen.influences, wanted);
    const mended = [...before].filter((fault) => !after.has(fault));
    tally.mend(mended, chosen === undefined ? 0 : largestDropped(own, chosen.influences));
    const isRounding = Math.abs(sumOf(chosen?.influences ?? own) - 1) <= FLOAT_SUM;
    const [first] = options;
    const turns = first !== undefined && first.moved <= UNSEEN && first.turned > UNTURNED;
    for (const fault of after) {
      if (fault === 'off sum' && isRounding) tally.leave([fault], 'rounding', 0);
      else if (turns) tally.leave([fault], 'turns', first.turned);
      else tally.leave([fault], 'moves', first?.moved ?? Infinity);
    }
  }
  const told = tally.told();
  if (told.changes.length > 0) storeGroup(context.edit, group);
  return told;
}

/** What the weights of a group are held to: that alone of which a rule found that it is not so. */
function wantedOf(
  { findings, settings }: MendContext,
  { parts, full }: WeightGroup,
): WantedWeights {
  const rigs = new Set(parts.map(({ rig }) => rig.index));
  const asked = (id: string): boolean =>
    findings.some(({ rule, rig }) => rule === id && rig !== null && rigs.has(rig));
  const limit = (id: string, name: string): number => {
    const rule = settings.rules.find((item) => item.id === id);
    return (rule === undefined ? undefined : limitsOf(settings, rule)[name]) ?? Infinity;
  };
  const tolerance = full === null || full === 1 ? limit('skin.sum', 'warn') : 0;
  return {
    full: full ?? 1,
    tolerance: asked('skin.sum') ? tolerance : Infinity,
    budget: asked('skin.budget') ? limit('skin.budget', 'influences') : Infinity,
    single: asked('skin.repeat'),
  };
}

function untouchable({ parts, full }: WeightGroup, own: Influences): Reason | null {
  if (full === null) return 'two storages';
  if (!own.every(({ weight }) => Number.isFinite(weight))) return 'no number';
  const last = Math.min(
    ...parts.map(({ rig, part }) => rig.skins[part.skin]?.jointOfSlot.length ?? 0),
  );
  return own.some(({ slot }) => slot >= last) ? 'past the joints' : null;
}
