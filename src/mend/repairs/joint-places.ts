import { percentage, significant } from '../../kit/figures.js';
import type { Facts } from '../../measure/facts.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import type { FindingReport } from '../../report/report-types.js';
import { distance, type Vec3 } from '../../rig/vec3.js';
import { bendChange } from '../joints/bend-change.js';
import { PLACERS } from '../joints/better-places.js';
import { movedFrames } from '../joints/moved-frames.js';
import { shownInClips } from '../joints/shown-in-clips.js';
import { carryOut } from '../reframe/carry-out.js';
import { Ground } from '../reframe/ground.js';
import { whyNotExactly } from '../reframe/plan.js';
import type { Similarity } from '../reframe/similarity.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Moves joints to where the form bends; skin, children and the stored pose stay. A clip that turns such a joint
 * turns it about its new place from then on, which is seen, and has to be allowed.
 */
export const jointPlaces: Repair = {
  name: 'joint places',
  tells:
    'Joints are moved to the middle of the form, into it, onto the midline or to the mirrored place of their partner. Skin, children and the stored pose stay. Where a clip turns the joint, the skin then moves differently, and `--allow-change` must allow it. What a bend of 60° does to the skin is reported, before and after.',
  rules: Object.keys(PLACERS).sort(),
  mend(context: MendContext): Mended {
    const ground = new Ground(context);
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const frames = new Map<number, Similarity>();
    const loose = new Set<number>();
    const seen = new Set<string>();
    for (const rig of context.model.rigs) {
      const facts = context.facts(rig);
      const wanted = new Map<number, Vec3>();
      for (const finding of context.findings.filter((found) => found.rig === rig.index)) {
        const moved = movesFor(context, ground, facts, finding);
        if ('why' in moved) left.push(...leftAt(finding, moved.why));
        // A joint that two rules want elsewhere goes where the first wants it; the next round looks again.
        else if (![...moved.places.keys()].some((joint) => wanted.has(joint))) {
          for (const [joint, place] of moved.places) {
            wanted.set(joint, place);
            changes.push(changeOf(context, facts, finding.rule, joint, place));
            if (moved.shown !== null) loose.add(rig.joints.node[joint] ?? -1);
          }
          if (moved.shown !== null) seen.add(finding.rule);
        }
      }
      for (const [node, frame] of movedFrames(facts, wanted) ?? []) frames.set(node, frame);
    }
    const mended = carryOut(ground, { frames, loose }, { changes, left });
    return { ...mended, seen: [...seen].sort() };
  },
};

interface Moves {
  readonly places: ReadonlyMap<number, Vec3>;
  /** How far skin moves in clips at most, percent of size; null where it does not. */
  readonly shown: number | null;
}

/** New places for joints of one finding, which move together or not at all; or why they do not. */
function movesFor(
  context: MendContext,
  ground: Ground,
  facts: Facts,
  { rule, places: found }: FindingReport,
): Moves | { readonly why: string } {
  const listed = found.flatMap(({ joint }) => joint ?? []);
  const tried = (PLACERS[rule]?.(facts, listed) ?? []).map((places) =>
    'why' in places ? places : tryPlaces(ground, facts, rule, places),
  );
  const able = tried.flatMap((moves) => ('why' in moves ? [] : [moves]));
  const exact = able.find(({ shown }) => shown === null);
  const [first = exact] = able;
  if (exact !== undefined) return exact;
  if (first === undefined) return tried.find((moves) => 'why' in moves) ?? { why: UNKNOWN };
  if (context.allow.has(rule)) return first;
  return {
    why: `clips turn it, and would turn it about its new place, so that skin moves by up to ${percentage(first.shown ?? 0)} of size; allow that with --allow-change ${rule}`,
  };
}

const UNKNOWN = 'nothing shows where it should be';

function tryPlaces(
  ground: Ground,
  facts: Facts,
  rule: string,
  places: ReadonlyMap<number, Vec3>,
): Moves | { readonly why: string } {
  const frames = movedFrames(facts, places);
  if (frames === null) return { why: 'it is scaled to zero, and this cannot be undone' };
  const moving = [...places.keys()].map((joint) => facts.rig.joints.node[joint] ?? -1);
  const named = new Set(moving);
  const why = whyNotExactly(ground, { frames, loose: named }, named);
  if (why !== null) return { why };
  const bends = [...places].map(([joint, place]) => bendChange(facts, joint, place));
  const worse = bends.find((bend) => bend?.worse != null)?.worse;
  if (worse != null && rule === UNLESS_WORSE) return { why: worse };
  if (whyNotExactly(ground, { frames }, named) === null) return { places, shown: null };
  const shown = moving.map((node) =>
    shownInClips(facts, node, frames.get(node)?.translation ?? [0, 0, 0]),
  );
  return { places, shown: Math.max(...shown) };
}

/** A form can bend at its skin: then its middle is no better. The other rules know no such exception. */
const UNLESS_WORSE = 'place.middle';

function leftAt({ rule, places }: FindingReport, why: string): LeftAlone[] {
  return places.map(({ path }) => ({ rule, place: path, why }));
}

function changeOf(
  { settings }: MendContext,
  facts: Facts,
  rule: string,
  joint: number,
  place: Vec3,
): Change {
  const away = distance(bindPose(facts).places[joint] ?? place, place);
  const bend = bendChange(facts, joint, place);
  return {
    rule,
    place: facts.rig.joints.paths[joint] ?? '',
    before: `${significant(away)} ${settings.unit} off ${GOAL[rule] ?? 'its place'}${bend === null ? '' : `; ${bend.before}`}`,
    after: `${IN_GOAL[rule] ?? 'in its place'}${bend === null ? '' : `; ${bend.after}`}`,
  };
}

const GOAL: Readonly<Record<string, string>> = {
  'chain.length': 'its place in the skin',
  'place.inside': 'its place in the form',
  'place.middle': 'the middle of its section',
  'place.midline': 'the midline',
  'place.pair': "its partner's mirrored place",
};

const IN_GOAL: Readonly<Record<string, string>> = {
  'chain.length': 'apart from the other joint',
  'place.inside': 'inside the form',
  'place.middle': 'in the middle',
  'place.midline': 'on the midline',
  'place.pair': 'mirrored',
};
