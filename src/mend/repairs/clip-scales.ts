import { limitsOfAll } from '../../check/settings.js';
import { percentage } from '../../kit/figures.js';
import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { type ClipScale, clipScales } from '../../measure/pose/clip-scale.js';
import { reaches } from '../../measure/skin/skin-reach.js';
import { spreadDown } from '../../rig/tree.js';
import { distance, vec3At } from '../../rig/vec3.js';
import { foundPlaces } from '../found-places.js';
import { takeOffKeys } from '../pose/take-off-keys.js';
import { LARGEST_SHIFT } from '../proof/proof-limits.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

const RULE = 'scale.animated';

/**
 * Takes scale keys off joints, which then keep the scale that they store. What such keys do can be done by
 * no others, so it is only made where nobody sees it, or where it is asked for.
 */
export const clipScaleKeys: Repair = {
  name: 'scale keys',
  tells:
    'Scale keys of joints are taken off, so that clips leave the joints at their stored scale. Where that can be seen, `--allow-change` must allow it.',
  rules: [RULE],
  mend(context: MendContext): Mended {
    const { edit, model, findings, allow } = context;
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const limit = limitsOfAll(context.settings)(RULE, 'scale');
    /** What the moves that nobody sees add up to at most. Share of size. */
    let unseen = 0;
    for (const { place, rig: index } of foundPlaces(findings)) {
      const rig = model.rigs[index ?? -1];
      const { joint, path } = place;
      if (rig === undefined || joint === null) continue;
      const facts = context.facts(rig);
      const found = clipScales(facts).find((scaled) => scaled.joint === joint);
      if (found === undefined) continue;
      const most = mostMove(facts, found) / size(facts);
      if (unseen + most <= LARGEST_SHIFT) unseen += most;
      else if (!allow.has(RULE)) {
        const why = `without its scale keys skin could move by up to ${percentage(100 * most)} of size, and that is seen; to take them off nevertheless, use --allow-change ${RULE}`;
        left.push({ rule: RULE, place: path, why });
        continue;
      }
      const node = rig.joints.node[joint] ?? -1;
      const clips = [...found.clips].filter(([, percent]) => percent > limit);
      for (const [animation] of clips)
        takeOffKeys(edit, animation, { node, path: 'scale' }, vec3At(rig.nodes.scale, node));
      changes.push({
        rule: RULE,
        place: path,
        before: `scaled by up to ${percentage(found.change)}`,
        after: `at its stored scale in ${clips.length === 1 ? '1 clip' : `${clips.length} clips`}`,
      });
    }
    return { changes, left };
  },
};

/** The farthest that the scaling moves skin, its own or below: no more than its change of the way to it. */
function mostMove(facts: Facts, { joint, change }: ClipScale): number {
  const { joints } = facts.rig;
  const below = spreadDown(
    joints,
    Uint8Array.from(joints.node, (_, at) => (at === joint ? 1 : 0)),
  );
  const from = bindPose(facts).places[joint] ?? [0, 0, 0];
  const ways = reaches(facts)
    .filter((reach) => below[reach.joint] === 1)
    .flatMap(({ corners }) => corners.map((corner) => distance(from, corner)));
  return (change / 100) * ways.reduce((most, way) => Math.max(most, way), 0);
}
