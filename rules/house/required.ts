import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { fitsPattern } from '../../src/measure/contract.js';
import { against } from '../parts.js';
import { asksFor, quoted } from './texts.js';

/** Clips, sockets and programs of a house find joints by name: those that it names have to be there. */
export const houseRequired = rule({
  id: 'house.required',
  level: 'error',
  title: 'joints that the standard asks for are missing',
  why: 'The clips and tools of the house find joints by name. What they look for and do not find does not move.',
  formula:
    'The names and patterns of the contract that no joint of the rig fits. Each rig has one finding.',
  remedy: 'Add the joints, or give the joints that take their place these names.',
  source: 'common practice',
  limits: {},
  isAsked: ({ contract }) => asksFor(contract?.joints?.required),
  check({ rig, wanted }) {
    const required = wanted.contract?.joints?.required ?? [];
    const { names, named } = rig.joints;
    const given = names.filter((_, joint) => named[joint] === true);
    const missing = required.filter((pattern) => !given.some((name) => fitsPattern(pattern, name)));
    if (missing.length === 0) return judged('joints', required.length, []);
    const short = missing.length;
    return judged(
      'joints',
      required.length,
      [
        {
          level: 'error',
          place: { kind: 'rig' },
          ...against(short, 0, 'joints'),
          counts: { looked: required.length, short },
          details: { missing: missing.map(({ text }) => text), looked: required.length },
        },
      ],
      short,
    );
  },
  say: ({ measured, details: { missing, looked } }, words) => ({
    message: `${measured} of ${words.count(looked, 'joint')} that the standard asks for ${measured === 1 ? 'is' : 'are'} missing (limit 0): ${quoted(missing)}.`,
    remedy:
      'Add the joints. If a joint takes their place under another name, give it the name of the standard.',
  }),
});
