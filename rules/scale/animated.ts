import {
  atJoints,
  type Finding,
  judged,
  judgedAsOne,
  notApplicable,
} from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { Facts } from '../../src/measure/facts.js';
import { type ClipScale, clipScales } from '../../src/measure/pose/clip-scale.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { worstOf } from './place.js';

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
  limits: {
    scale: { default: 0.1, unit: '%', tells: 'scale in a clip, away from the stored scale' },
  },
  check(facts, limits) {
    const { joints, clips } = facts.rig;
    if (clips.length === 0) return notApplicable('the asset has no clip that poses the rig');
    const scaled = clipScales(facts).flatMap((item) => howScaled(facts, item, limits.scale) ?? []);
    const worst = worstOf(scaled, ({ how, shows, measured }) => {
      const rank = (shows ? 4 : 0) + (how === 'equal' ? 0 : how === 'unequal' ? 1 : 2);
      // Rank goes before size; no size reaches 1 here.
      return rank + measured / (measured + 100);
    });
    if (worst === undefined) return judged('joints', joints.count, []);
    const inClips = new Set(
      scaled.flatMap((item) =>
        [...item.clips].flatMap(([clip, most]) => (most > limits.scale ? clip : [])),
      ),
    );
    const list = scaled.map(({ joint }) => joint);
    return judgedAsOne('joints', joints.count, {
      ...atJoints(list, worst.joint),
      level: worst.shows && worst.how !== 'equal' ? 'warning' : 'note',
      measures: scaled.map(({ measured }) => measured),
      measured: worst.measured,
      limit: limits.scale,
      unit: '%',
      counts: { looked: joints.count, short: list.length },
      details: { ...worst, inClips: inClips.size },
    });
  },
  say(finding, words) {
    const { joint, clip, time, inClips } = finding.details;
    const count = finding.counts?.short ?? 1;
    const more =
      count > 1 || inClips > 1
        ? ` In all, ${words.count(count, 'joint')} in ${words.count(inClips, 'clip')}.`
        : '';
    return {
      message: `The clip "${clip}" scales ${words.joint(joint)} ${howWords(finding, words)} at ${words.number(time)} s (limit ${finding.limit} % away from its stored scale).${more}`,
      remedy:
        'Remove the scale keys, or make sure that every engine that plays the clips keeps them.',
    };
  },
});

/** A smaller factor is a joint made to vanish: exports write no true zero. */
const NOTHING = 1e-3;

interface Scaled extends ClipScale {
  readonly how: 'zero' | 'unequal' | 'equal';
  /** Whether it moves skin, itself or below. */
  readonly shows: boolean;
  /** Percent. */
  readonly measured: number;
}

interface Details extends Scaled {
  readonly inClips: number;
}

function howScaled(facts: Facts, item: ClipScale, limit: number): Scaled | null {
  const shows = skinMass(facts).movesBelow[item.joint] === 1;
  if (Math.min(...item.factors) < NOTHING) return { ...item, how: 'zero', shows, measured: 100 };
  if (item.uneven > limit) return { ...item, how: 'unequal', shows, measured: item.uneven };
  return item.change > limit ? { ...item, how: 'equal', shows, measured: item.change } : null;
}

function howWords({ details, measured }: Finding<Details>, words: Words): string {
  const [x, y, z] = details.factors;
  if (details.how === 'zero')
    return Math.max(x, y, z) < NOTHING ? 'to zero' : 'to zero along an axis';
  const factors = [x, y, z].map((factor) => words.number(factor)).join(' x ');
  if (details.how === 'unequal')
    return `unequally, by ${factors}, ${words.percent(measured)} between its axes,`;
  const [least, most] = [Math.min(x, y, z), Math.max(x, y, z)];
  return `by ${words.number(most - 1 > 1 - least ? most : least)}`;
}
