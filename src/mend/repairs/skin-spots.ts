import { limitsOf } from '../../check/settings.js';
import { percentage } from '../../kit/figures.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';
import { type Growth, largestGrowth } from '../weights/edge-growth.js';
import { type FilledSpot, fillSpot } from '../weights/fill-spot.js';
import { RigWeights, sumOfShares } from '../weights/rig-weights.js';
import {
  atWorst,
  looseWords,
  WHY_BARE,
  WHY_MORPHED,
  WHY_NOTHING_NEAR,
  WHY_TWO_STORAGES,
  whySeen,
} from '../weights/spot-words.js';
import { storedShares } from '../weights/store-shares.js';
import { isUnseen, option, type Trial, tryWeights } from '../weights/unseen-weights.js';
import type { Influences } from '../weights/vertex-weights.js';
import {
  influencesOf,
  morphedPart,
  setInfluences,
  storeGroup,
  type WeightGroup,
  weightGroups,
} from '../weights/weight-groups.js';
import { type WeightSpot, weightSpots } from '../weights/weight-spots.js';

/**
 * Gives weights that are at fault to the joints around: what a stray joint, a carrier or a partner holds of
 * a vertex, and all of one without weights, is filled in from its neighbours along the mesh. In the bind
 * pose nothing moves; where a pose of the file shows it, it is only done when allowed. A spot is mended as
 * a whole or not at all, since half of one would tear.
 */
export const skinSpots: Repair = {
  name: 'weights from around',
  tells:
    'Weights on a joint that should not have them, and vertices without weights or with weights that are not numbers, take over the weights of the vertices around, along the mesh (harmonic weights). A piece that touches no good skin follows the nearest skin. If a pose of the file shows the change, `--allow-change` must allow it.',
  rules: ['skin.unweighted', 'skin.stray', 'skin.side', 'skin.remnant', 'skin.repeat'],
  mend(context: MendContext): Mended {
    const groups = weightGroups(context.edit, context.model);
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const seen = new Set<string>();
    const changed = new Set<WeightGroup>();
    for (const rig of context.model.rigs) {
      const findings = context.findings.filter((finding) => finding.rig === rig.index);
      if (findings.length === 0) continue;
      const weights = new RigWeights(context.facts(rig), groups);
      for (const spot of weightSpots(weights.facts, findings)) {
        const mended = new SpotMend(context, weights, spot).mend();
        if (typeof mended === 'string')
          left.push({ rule: spot.rule, place: spot.place, why: mended });
        if (mended === null || typeof mended === 'string') continue;
        changes.push(mended.change);
        if (mended.isSeen) seen.add(spot.rule);
        for (const group of mended.groups) changed.add(group);
      }
    }
    for (const group of changed) storeGroup(context.edit, group);
    return { changes, left, seen: [...seen].sort() };
  },
};

/** One spot on its way. */
class SpotMend {
  constructor(
    private readonly context: MendContext,
    private readonly weights: RigWeights,
    private readonly spot: WeightSpot,
  ) {}

  /** What was done; why nothing was; null where nothing is left to do. */
  mend() {
    const { context, weights, spot } = this;
    const filled = fillSpot(weights, spot);
    if (filled.wanted.size === 0)
      return spot.vertices.every((vertex) => weights.stored(vertex) === null) ? WHY_BARE : null;
    const trials = this.trials(filled);
    if (typeof trials === 'string') return trials;
    const isAllowed = context.allow.has(spot.rule);
    const isMorphed = [...trials.keys()].some((group) => morphedPart(context.edit, group));
    if (isMorphed && !isAllowed) return `${WHY_MORPHED} ${spot.rule}`;
    for (const [group, list] of trials)
      for (const shown of group.parts) {
        const { rig, part } = shown;
        const look = context.looks?.parts[rig.index]?.[rig.parts.indexOf(part)];
        tryWeights(shown, list, look?.normals ?? null, size(context.facts(rig)));
      }
    const options = [...trials.values()].flatMap((list) => list.flatMap((trial) => trial.options));
    const isSeen = !options.every(isUnseen);
    if (isSeen && !isAllowed)
      return whySeen(
        spot.rule,
        options.reduce((most, { moved }) => Math.max(most, moved), 0),
        options.reduce((most, { turned }) => Math.max(most, turned), 0),
      );
    const before = this.growth(filled);
    const what = this.whatWas(filled, options.length);
    for (const [group, list] of trials)
      for (const { vertex, options } of list)
        for (const { influences } of options) setInfluences(group, vertex, influences);
    const after = this.growth(filled);
    const change: Change = {
      rule: spot.rule,
      place: spot.place,
      before: `${what}${atWorst(before, 'at worst an edge there grows by')}`,
      after: `the weights of the vertices around${looseWords(filled.loose)}${atWorst(after, 'at worst')}`,
    };
    return { change, isSeen, groups: [...trials.keys()] };
  }

  /** The new weights of each vertex, once where several primitives share it; or why there are none. */
  private trials({ wanted }: FilledSpot): Map<WeightGroup, Trial[]> | string {
    const { settings } = this.context;
    const rule = settings.rules.find(({ id }) => id === 'skin.budget');
    const budget = (rule && limitsOf(settings, rule).influences) ?? Infinity;
    const byGroup = new Map<WeightGroup, Map<number, Trial>>();
    for (const [vertex, shares] of wanted) {
      const at = this.weights.stored(vertex);
      if (at === null) continue;
      if (at.group.full === null) return WHY_TWO_STORAGES;
      const influences = shares === null ? null : storedShares(at, shares, budget);
      if (influences === null) return WHY_NOTHING_NEAR;
      const tried = option(influencesOf(at.group, at.vertex), influences, at.group.full);
      const trials = byGroup.get(at.group) ?? new Map<number, Trial>();
      byGroup.set(at.group, trials.set(at.vertex, { vertex: at.vertex, options: [tried] }));
    }
    return new Map([...byGroup].map(([group, trials]) => [group, [...trials.values()]]));
  }

  /** What the worst pose makes of the edges at the spot, with the weights as they are now. */
  private growth({ wanted, edges }: FilledSpot): Growth | null {
    const { weights } = this;
    const first = new Map<number, number>();
    for (const vertex of wanted.keys()) {
      const place = weights.net.places[vertex] ?? vertex;
      if (!first.has(place)) first.set(place, vertex);
    }
    return largestGrowth(weights, edges, (place) => {
      const vertex = first.get(place) ?? place;
      const stored = weights.stored(vertex);
      const influences: Influences = weights.influences(vertex);
      return stored === null ? null : { stored, influences };
    });
  }

  /** @param vertices How many there are, each once. */
  private whatWas({ wanted }: FilledSpot, vertices: number): string {
    const { weights, spot } = this;
    const count = vertices === 1 ? '1 vertex' : `${vertices} vertices`;
    if (spot.rule === 'skin.repeat') return `${count} with a weight that is not a number`;
    if (spot.joint === null) return `${count} that no joint moves`;
    const tops = [...wanted.keys()].map(
      (vertex) =>
        sumOfShares(weights.trusted(vertex, null)) -
        sumOfShares(weights.trusted(vertex, spot.joint)),
    );
    const name = weights.facts.rig.joints.names[spot.joint] ?? '';
    return `${count} that "${name}" moves by up to ${percentage(100 * tops.reduce((a, b) => Math.max(a, b), 0))}`;
  }
}
