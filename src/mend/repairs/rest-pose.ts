import { limitsOfAll } from '../../check/settings.js';
import { percentage, significant } from '../../kit/figures.js';
import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { restAgainstBind } from '../../measure/pose/rest-against-bind.js';
import { storedAs } from '../../measure/pose/stored-as.js';
import { visible } from '../../report/visible.js';
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

/** Both ways with what they show, and which of them to take. */
function undecided(context: MendContext, rig: Rig): string {
  const facts = context.facts(rig);
  const { bind, pose } = restCosts(facts);
  const inClips = isUnseen(pose)
    ? 'the stored pose and the clips look as before'
    : `the stored pose looks as before, and vertices between joints move by up to ${percentage(100 * pose)} of size in clips`;
  const ways = [
    {
      flag: '--rest-from bind',
      does: `stores the bind pose, which moves vertices by up to ${percentage(100 * bind)} of size as stored; clips play as before`,
      why: whyNotStored(context, rig),
      cost: bind,
    },
    {
      flag: '--rest-from pose',
      does: `binds the mesh in the stored pose: ${inClips}`,
      why: whyNotBaked(context, rig),
      cost: pose,
    },
  ] as const;
  const told = ways.map(({ flag, does, why }) =>
    why === null ? `${flag} ${does}` : `${flag} is not possible: ${why}`,
  );
  const able = ways.filter(({ why }) => why === null);
  const poor = able.length === 0 ? null : whyPoor(context, facts);
  const advice = poor === null ? lessOf(able) : besidePose(able, poor);
  return ['only one of the two poses can be kept', ...told, advice].join('. ');
}

interface Way {
  readonly flag: string;
  readonly cost: number;
}

/** Advice for a rig in which either pose could be the one it was built in. */
function lessOf(able: readonly Way[]): string {
  const [least, other] = [...able].sort((a, b) => a.cost - b.cost);
  if (least === undefined) return 'Mend it where you made the rig';
  const advice = other === undefined ? `Use ${least.flag}` : `${least.flag} changes less`;
  return `${advice}; ${allowFor(least)}`;
}

/** Advice for a rig whose stored pose nobody would build a rig in, however little binding it there shows. */
function besidePose(able: readonly Way[], poor: string): string {
  const bind = able.find(({ flag }) => flag === '--rest-from bind');
  if (bind === undefined)
    return `${poor}; set the rig to its bind pose where you made it, and export it again`;
  return `${poor}. Use --rest-from bind; ${allowFor(bind)}`;
}

function allowFor({ cost }: Way): string {
  return isUnseen(cost)
    ? 'nothing of it can be seen in this file'
    : 'allow the change with --allow-change rest.bind';
}

/** So many joints that are turned by themselves are a pose, not a slip of the hand. Common practice. */
const MANY = 6;

/** Why the stored pose makes a poor bind pose; null where it may be one. */
function whyPoor({ settings }: MendContext, facts: Facts): string | null {
  const away = (limitsOfAll(settings)('rest.bind', 'shift') / 100) * size(facts);
  const { posed, moment } = storedAs(facts, away);
  if (moment !== null)
    return `The stored pose is one of the clip "${visible(moment.clip)}" (at ${significant(moment.time)} s), and the pose of a clip makes a poor bind pose: all clips would bend the skin from there`;
  return posed.length < MANY
    ? null
    : `The stored pose differs from the bind pose at ${posed.length} joints, as a pose does, and such a pose makes a poor bind pose: all clips would bend the skin from there`;
}

function isUnseen(share: number): boolean {
  return share <= LARGEST_SHIFT;
}

const AFTER = {
  bind: 'stored in the bind pose; clips that move it play as before',
  pose: 'bound in the stored pose',
};
