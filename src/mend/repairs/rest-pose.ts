import { percentage } from '../../kit/figures.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { restAgainstBind } from '../../measure/pose/rest-against-bind.js';
import type { Rig } from '../../rig/types.js';
import { bakeStoredPose, whyNotBaked } from '../pose/bake-stored-pose.js';
import { restCosts } from '../pose/rest-costs.js';
import { storeBindPose, whyNotStored } from '../pose/store-bind-pose.js';
import { LARGEST_SHIFT } from '../proof/proof-limits.js';
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
      const why = restFrom === null ? undecided(context, rig) : mend(context, rig);
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

/** Both ways with what they show, and which of them shows less. */
function undecided(context: MendContext, rig: Rig): string {
  const { bind, pose } = restCosts(context.facts(rig));
  const inClips = isUnseen(pose)
    ? ' and in clips'
    : `; vertices between joints then move by up to ${percentage(100 * pose)} of size in clips`;
  const ways = [
    {
      flag: '--rest-from bind',
      does: `stores the bind pose, which moves vertices by up to ${percentage(100 * bind)} of size as stored; clips play as before`,
      why: whyNotStored(context, rig),
      cost: bind,
    },
    {
      flag: '--rest-from pose',
      does: `binds the mesh in the stored pose, which looks as before as stored${inClips}`,
      why: whyNotBaked(context, rig),
      cost: pose,
    },
  ];
  const told = ways.map(({ flag, does, why }) =>
    why === null ? `${flag} ${does}` : `${flag} is not possible: ${why}`,
  );
  return ['only one of the two poses can be kept', ...told, adviceOn(ways)].join('. ');
}

function adviceOn(ways: readonly { flag: string; why: string | null; cost: number }[]): string {
  const [least, other] = ways.filter(({ why }) => why === null).sort((a, b) => a.cost - b.cost);
  if (least === undefined) return 'Mend it where you made the rig';
  const advice = other === undefined ? `Use ${least.flag}` : `${least.flag} changes less`;
  const allow = isUnseen(least.cost)
    ? 'nothing of it can be seen in this file'
    : 'allow the change with --allow-change rest.bind';
  return `${advice}; ${allow}`;
}

function isUnseen(share: number): boolean {
  return share <= LARGEST_SHIFT;
}

const AFTER = {
  bind: 'stored in the bind pose; clips that move it play as before',
  pose: 'bound in the stored pose',
};
