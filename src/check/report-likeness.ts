import { significant } from '../kit/figures.js';
import type { Level } from '../kit/finding.js';
import type { Facts } from '../measure/facts.js';
import { SAME_PLACE } from '../measure/fit/counterparts.js';
import { type Likeness, likeness } from '../measure/fit/likeness.js';
import { approvedFacts } from '../measure/fit/matching.js';
import { size } from '../measure/geometry/bind-mesh.js';
import { bodyRoot } from '../measure/skeleton/body-root.js';
import { skinMass } from '../measure/skin/skin-mass.js';
import type { LikedRig, LikeFault, LikeReport } from '../report/like-report.js';
import type { ApprovedAsset, RigModel } from '../rig/types.js';
import { hasMesh, pairByMesh } from './pair-by-mesh.js';
import { limitsOfAll, type Settings } from './settings.js';

/**
 * How the rigs of an asset are like those of a model of the same mesh. The limit of a place is that of
 * `fit.length`, `place`; what a standard says of the levels of `fit.missing` and `fit.length` counts here.
 */
export function reportLikeness(
  { rigs }: RigModel,
  model: ApprovedAsset,
  settings: Settings,
): LikeReport {
  const pairs = pairByMesh(model, rigs, settings.wanted);
  const of = (index: number) => {
    const rig = model.model.rigs[index];
    return { of: index, name: rig?.name ?? '', joints: rig?.joints.count ?? 0 };
  };
  const liked = model.model.rigs.flatMap((rig, index): LikedRig[] => {
    const own = pairs.filter(({ model: other }) => other === rig).map(({ facts }) => facts);
    return own
      .sort((a, b) => a.rig.index - b.rig.index)
      .flatMap((facts) => {
        const found = likeness(facts);
        return found === null ? [] : [{ ...of(index), ...likedRig(facts, found, settings) }];
      });
  });
  const unlike = model.model.rigs.flatMap((rig, index) =>
    pairs.some((pair) => pair.model === rig) || !hasMesh(rig) ? [] : [of(index)],
  );
  return { model: model.name, rigs: liked, unlike };
}

function likedRig(facts: Facts, found: Likeness, settings: Settings) {
  const { rig } = facts;
  const model = approvedFacts(facts) ?? facts;
  const { names, children } = model.rig.joints;
  const { moves } = skinMass(model);
  const carriers = new Set(bodyRoot(model).carriers);
  const limit = limitsOfAll(settings)('fit.length', 'place');
  /** Tips and carriers without skin: where they are, and whether, nobody sees. */
  const isIdle = (joint: number): boolean =>
    moves[joint] !== 1 && (children[joint]?.length === 0 || carriers.has(joint));
  const nameOf = (joint: number): string => names[joint] ?? '';
  const whole = found.laid.scale * size(model);
  const missing = found.missing.flatMap((joints): LikeFault[] => {
    const natural = joints.some((joint) => moves[joint] === 1)
      ? 'error'
      : joints.every(isIdle)
        ? 'note'
        : 'warning';
    const level = levelOf(settings, 'fit.missing', natural);
    return level === null ? [] : [{ kind: 'missing', level, joints: joints.map(nameOf) }];
  });
  const apart = [...found.offs.entries()].flatMap(([joint, percent]): LikeFault[] => {
    if (!(percent > limit)) return [];
    const natural = isIdle(joint) ? 'note' : percent > SAME_PLACE ? 'error' : 'warning';
    const level = levelOf(settings, 'fit.length', natural);
    if (level === null) return [];
    const own = rig.joints.names[found.ofModel[joint] ?? -1] ?? null;
    const away = `${significant((percent / 100) * whole)} ${settings.unit}`;
    return [{ kind: 'place', level, joint: nameOf(joint), own, percent, away }];
  });
  const inPlace = found.offs.filter((percent) => percent <= limit).length;
  const own = skinMass(facts);
  const extra = found.extra.filter((joint) => own.moves[joint] === 1);
  return {
    rig: rig.index,
    own: rig.name,
    inPlace,
    limit,
    faults: [...missing, ...apart],
    extra: extra.map((joint) => rig.joints.names[joint] ?? ''),
  };
}

/** A level as the standard has it; null where it leaves such findings out. */
function levelOf({ levels }: Settings, rule: string, natural: Level): Level | null {
  const given = levels.get(rule) ?? natural;
  return given === 'none' ? null : given;
}
