import { atJoints, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { Facts } from '../../src/measure/facts.js';
import { type ClipScale, clipScales } from '../../src/measure/pose/clip-scale.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, worstOf } from '../parts.js';

/** Scaling clips travel badly: many engines drop them. */
export const scaleAnimated = rule({
  id: 'scale.animated',
  level: 'warning',
  milder: 'note',
  title: 'clips that scale joints',
  why: 'Engines often drop scale keys, or keep only those that are equal on all axes. An unequal scale above a turn skews what hangs below.',
  formula:
    'The scale of a joint at every key of every clip and between keys, compared with its stored scale. A scale that is unequal (largest factor divided by smallest, minus 1) or goes to zero gives a warning on a joint that moves skin, itself or below. An equal scale, or a scale that no skin shows, gives a note. Each rig has one finding, with its worst joint, clip and time.',
  remedy:
    'Key only rotation and travel. For squash and stretch, use extra joints in an engine that keeps scale keys.',
  source: 'common practice',
  limits: { scale: limit(0.1, '%', 'scale in a clip, away from the stored scale') },
  check(facts, limits) {
    const { joints, clips } = facts.rig;
    if (clips.length === 0) return notApplicable('the asset has no clip that poses the rig');
    const scaled = clipScales(facts).flatMap((each) => howScaled(facts, each, limits.scale) ?? []);
    const worst = worstOf(scaled, ({ how, shows, measured }) => {
      // Rank goes before size; no size reaches 1 here.
      return (shows ? RANKS.length : 0) + RANKS.indexOf(how) + measured / (measured + 100);
    });
    if (worst === undefined) return judged('joints', joints.count, []);
    const keyed = scaled.flatMap(({ clips }) => [...clips]);
    const over = keyed.filter(([, most]) => most > limits.scale);
    const inClips = new Set(over.map(([clip]) => clip)).size;
    const list = scaled.map(({ joint }) => joint);
    return judgedAsOne('joints', joints.count, {
      ...atJoints(list, worst.joint),
      level: worst.shows && worst.how !== 'equal' ? 'warning' : 'note',
      measures: scaled.map(({ measured }) => measured),
      ...against(worst.measured, limits.scale, '%'),
      details: { ...worst, inClips, count: list.length },
    });
  },
  say({ details, limit }, words) {
    const { joint, clip, time, inClips, count } = details;
    const more =
      count > 1 || inClips > 1
        ? ` In all, ${words.count(count, 'joint')} in ${words.count(inClips, 'clip')}.`
        : '';
    return {
      message: `The clip "${clip}" scales ${words.joint(joint)} ${howWords(details, words)} at ${words.number(time)} s (limit ${limit} % away from its stored scale).${more}`,
      remedy:
        'Remove the scale keys, or make sure that every engine that plays the clips keeps them.',
    };
  },
});

/** A smaller factor is a joint made to vanish: exports write no true zero. */
const NOTHING = 1e-3;
/** Ways to scale, the worst last. */
const RANKS = ['equal', 'unequal', 'zero'] as const;

interface Scaled extends ClipScale {
  readonly how: (typeof RANKS)[number];
  /** Whether it moves skin, itself or below. */
  readonly shows: boolean;
  /** Percent. */
  readonly measured: number;
}

function howScaled(facts: Facts, clipScale: ClipScale, limit: number): Scaled | null {
  const { joint, factors, uneven, change } = clipScale;
  const seen = { ...clipScale, shows: skinMass(facts).movesBelow[joint] === 1 };
  if (Math.min(...factors) < NOTHING) return { ...seen, how: 'zero', measured: 100 };
  if (uneven > limit) return { ...seen, how: 'unequal', measured: uneven };
  return change > limit ? { ...seen, how: 'equal', measured: change } : null;
}

function howWords({ how, factors, measured }: Scaled, words: Words): string {
  const [least, most] = [Math.min(...factors), Math.max(...factors)];
  if (how === 'zero') return most < NOTHING ? 'to zero' : 'to zero along an axis';
  if (how === 'equal') return `by ${words.number(most - 1 > 1 - least ? most : least)}`;
  const each = factors.map((factor) => words.number(factor)).join(' x ');
  return `unequally, by ${each}, ${words.percent(measured)} between its axes,`;
}
