import { limitsOfAll } from '../../check/settings.js';
import { percentage, significant } from '../../kit/figures.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { boneAtRest, movedJoints, type Stretch, stretches } from '../../measure/pose/stretch.js';
import { visible } from '../../report/visible.js';
import type { Rig } from '../../rig/types.js';
import { length } from '../../rig/vec3.js';
import { foundPlaces } from '../found-places.js';
import { type HeldBone, heldBone } from '../pose/held-bone.js';
import { storeHeld } from '../pose/store-held.js';
import { LARGEST_SHIFT } from '../proof/proof-limits.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

const RULE = 'chain.stretch';

/**
 * Keeps bones at their rest length in the clips that stretch them. Other clips stay as they are. Only what
 * nobody sees is done unasked, which is little: a bone that a clip stretches takes its skin along.
 */
export const chainStretch: Repair = {
  name: 'bone lengths',
  tells:
    'Translation keys that stretch a bone are taken off, or replaced by ones that keep its rest length: the joint goes to the nearest place on its line to the parent joint. Where that can be seen, `--resample` and `--allow-change` must allow it.',
  rules: [RULE],
  mend(context: MendContext): Mended {
    const { edit, model, findings, allow, resample } = context;
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const limit = limitsOfAll(context.settings)(RULE, 'stretch');
    /** What the moves that nobody sees add up to. Share of size. */
    let unseen = 0;
    for (const { place, rig: index } of foundPlaces(findings)) {
      const rig = model.rigs[index ?? -1];
      const { joint, path } = place;
      if (rig === undefined || joint === null) continue;
      const facts = context.facts(rig);
      const found = stretches(facts).list.find((stretch) => stretch.joint === joint);
      if (found === undefined) continue;
      const clips = heldInClips(context, rig, found, limit);
      if (typeof clips === 'string') {
        left.push({ rule: RULE, place: path, why: clips });
        continue;
      }
      const shift = Math.max(...clips.map((clip) => clip.bone.shift));
      const share = shift / size(facts);
      if (unseen + share <= LARGEST_SHIFT) unseen += share;
      else if (!resample || !allow.has(RULE)) {
        const why = `its rest length would move the joint by ${percentage(100 * share)} of size, and that is seen; to do it nevertheless, use --resample and --allow-change ${RULE}`;
        left.push({ rule: RULE, place: path, why });
        continue;
      }
      const node = rig.joints.node[joint] ?? -1;
      for (const { animation, bone } of clips) storeHeld(edit, node, animation, bone.held);
      const { unit, place: rest } = boneAtRest(facts, joint) ?? { unit: 1, place: [0, 0, 0] };
      changes.push({
        rule: RULE,
        place: path,
        before: `bone changed by up to ${percentage(found.percent)} of its length`,
        after: `bone at its rest length, ${significant(unit * length(rest))} ${context.settings.unit}, ${clipWords(clips)}; the joint moves by ${percentage(100 * share)} of size at most`,
      });
    }
    return { changes, left };
  },
};

interface InClip {
  /** Index of the clip in the file. */
  readonly animation: number;
  readonly bone: HeldBone;
}

/** The bone in all clips that stretch it too far; or why one of them cannot be changed. */
function heldInClips(
  context: MendContext,
  rig: Rig,
  { joint, byClip }: Stretch,
  limit: number,
): InClip[] | string {
  const held: InClip[] = [];
  const watched = Uint8Array.from(rig.joints.node, (_, other) => (other === joint ? 1 : 0));
  for (const [at, percent] of byClip) {
    const clip = rig.clips[at];
    if (percent <= limit || clip === undefined) continue;
    const [moved] = movedJoints(rig, clip, watched);
    const bone = moved === undefined ? null : heldBone(context.facts(rig), moved);
    if (bone === null)
      return `the clip "${visible(clip.name)}" moves it in a way that no keys at its rest length can follow; take its translation keys off in the clip`;
    held.push({ animation: clip.index, bone });
  }
  return held;
}

/** What becomes of the keys, by how many clips. */
function clipWords(clips: readonly InClip[]): string {
  const off = clips.filter(({ bone }) => bone.held.kind === 'off').length;
  const say = (count: number): string => (count === 1 ? '1 clip' : `${count} clips`);
  const parts = [
    ...(off > 0 ? [`its translation keys taken off in ${say(off)}`] : []),
    ...(off < clips.length ? [`keyed anew in ${say(clips.length - off)}`] : []),
  ];
  return parts.join(', ');
}
