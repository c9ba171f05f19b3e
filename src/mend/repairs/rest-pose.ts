import { percentage } from '../../kit/figures.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { restAgainstBind } from '../../measure/pose/rest-against-bind.js';
import { bakeStoredPose } from '../pose/bake-stored-pose.js';
import { storeBindPose } from '../pose/store-bind-pose.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Makes the stored pose and the bind pose the same. Only the user knows which of them is right: with the
 * bind pose the rig is stored in it, and clips stay as they are; with the stored pose the mesh is bound
 * again in it, and clips bend it from there.
 */
export const restPose: Repair = {
  name: 'rest pose',
  tells:
    'The stored pose and the bind pose are made the same, after `--rest-from` says which of them is right. If the rig then looks different, `--allow-change` must allow it.',
  rules: ['rest.bind'],
  mend(context: MendContext): Mended {
    const { model, findings, restFrom } = context;
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    for (const { rule, place, rig: index, unit } of findings) {
      // A scale on a topmost joint is not a pose: the repair of scales takes it off.
      if (unit === '%') continue;
      const rig = model.rigs[index ?? -1];
      if (rig === undefined) continue;
      const mend = restFrom === 'bind' ? storeBindPose : bakeStoredPose;
      const why = restFrom === null ? UNDECIDED : mend(context, rig);
      if (why !== null) {
        left.push({ rule, place: place.path, why });
        continue;
      }
      const facts = context.facts(rig);
      const off = percentage((100 * restAgainstBind(facts).shift) / size(facts));
      const before = `stored ${off} of size off the bind pose`;
      changes.push({ rule, place: place.path, before, after: AFTER[restFrom ?? 'bind'] });
    }
    return { changes, left, keepsClips: restFrom === 'bind' };
  },
};

const UNDECIDED =
  'only one of the two poses can be kept. Use --rest-from bind to store the bind pose, or --rest-from pose to bind the mesh in the stored pose, and allow the change with --allow-change rest.bind';

const AFTER = {
  bind: 'stored in the bind pose; clips that move it play as before',
  pose: 'bound in the stored pose',
};
