import { LEVELS } from '../kit/finding.js';
import { codeName } from '../report/markdown-text.js';
import { shareWords } from './class-words.js';
import type { Grade } from './grade-assets.js';

/** What is good when a rule passed, after `31 of 31 joints`; rules that look at one thing have none. */
export const PRAISE: Readonly<Record<string, string>> = {
  'root.single': 'hang under the root of their rig',
  'rest.holder': 'above the rig are neither moved nor turned',
  'rest.mesh': 'with a skinned mesh have no transform of their own',
  'rest.bind': 'are stored in the pose they were built in',
  'axis.aim': 'aim at the next one',
  'axis.uniform': 'use the same axis along the bone',
  'axis.up': 'agree in roll along their segment',
  'axis.end': 'at an end agree in roll with their parent',
  'axis.world-up': 'have an up axis that points up',
  'axis.mirror': 'mirror their axes',
  'axis.curl': 'curl in one plane',
  'scale.nonuniform': 'have no unequal scale',
  'scale.shear': 'have no skew',
  'scale.unit': 'have a scale of 1',
  'scale.negative': 'are not turned inside out by their scale',
  'scale.animated': 'keep their scale in every clip',
  'chain.direction': 'run from the body outwards',
  'chain.parent': 'hang on the joint that their flesh grows from',
  'chain.stretch': 'keep their place while clips play',
  'chain.length': 'do not lie on each other',
  'chain.spacer': 'follow each other without a node between',
  'chain.hinge': 'are built with a bend that a solver can follow',
  'place.inside': 'lie inside the mesh',
  'place.middle': 'stand in the middle of their cross-section',
  'place.midline': 'of the middle are on the midline',
  'place.pair': 'are placed alike on both sides',
  'skin.sum': 'have weights that sum to 1',
  'skin.unweighted': 'are moved by a joint',
  'skin.index': 'name joints that their skin has',
  'skin.repeat': 'name each joint once',
  'skin.bind-matrix': 'can be inverted',
  'skin.idle': 'along the chains move skin',
  'skin.shift': 'of chains move the skin beside their own bone',
  'skin.stray': 'have no stray spot of skin',
  'skin.side': 'move only the skin of their own side',
  'skin.budget': 'stay within the influences allowed',
  'motion.collapse': 'keep the volume around them when they bend',
  'name.missing': 'have a name',
  'name.duplicate': 'have a name of their own',
  'name.default': 'have a name that someone gave them',
  'name.side': 'name their side in one way',
  'fit.missing': 'of the approved rig are there by their names',
  'fit.parent': 'hang on the same joint as in the approved rig',
  'fit.frame': 'have the frame of the approved rig',
  'fit.length': 'are as long as the approved rig asks for',
  'fit.extra': 'are all known to the approved rig',
  'fit.clip': 'find the joint that they pose',
  'fit.play': 'are shown by every clip as on the approved rig',
  'fit.weights': 'have the approved weights',
  'house.required': 'that the house asks for are there',
  'house.forbidden': 'have a name that the house takes',
  'house.names': 'have a name made by the pattern of the house',
};

/** Rules that are praised one by one. */
const PRAISED = 8;

/** What is good in full, rules of errors first, as items of a list of Markdown. */
export function praiseLines({ families }: Grade): string[] {
  const passed = families
    .flatMap(({ rules }) => rules)
    .filter(({ short, elsewhere }) => short + elsewhere === 0);
  const many = passed
    .filter(({ looked }) => looked > 1)
    .sort((a, b) => LEVELS.indexOf(a.rule.level) - LEVELS.indexOf(b.rule.level));
  const lines = many.slice(0, PRAISED).map(({ rule, looked, of }) => {
    const praise = PRAISE[rule.id] ?? `keep to ${codeName(rule.id)}`;
    return `- ${shareWords(looked, looked, of)} ${praise}`;
  });
  const rest = passed.length - lines.length;
  const [more, rules] = [lines.length > 0 ? ' more' : '', rest === 1 ? 'rule was' : 'rules were'];
  return rest > 0 ? [...lines, `- ${rest}${more} ${rules} kept in full`] : lines;
}
