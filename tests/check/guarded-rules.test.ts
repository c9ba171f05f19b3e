import { expect, it } from 'vitest';
import { guarded, RuleFaults } from '../../src/check/rule-faults.js';
import { defaultSettings } from '../../src/check/settings.js';
import { judged } from '../../src/kit/finding.js';
import { assetRule } from '../../src/kit/rule.js';
import type { WantedOfRig } from '../../src/measure/facts.js';
import { modelOf } from '../support/facts-of.js';
import { chainJoints, tinyGlb } from '../support/tiny-rig.js';

it("a house's rule about assets is handed all that any other is", async () => {
  const seen: WantedOfRig[] = [];
  const prop = assetRule({
    ...{ id: 'prop.wanted', level: 'note', title: 't', why: 'w', formula: 'f', remedy: 'r' },
    ...{ source: 'common practice', limits: {} },
    check(_model, _limits, _approved, wanted) {
      seen.push(wanted);
      return judged('assets', 1, []);
    },
    say: () => ({ message: 'm', remedy: 'r' }),
  });
  const own = { modules: [], moduleOf: { 'prop.wanted': './props.mjs' }, digest: '' };
  const settings = { ...defaultSettings([prop]), own };
  const [rule] = guarded(settings, new RuleFaults(own)).rules;
  const model = await modelOf(
    tinyGlb(
      chainJoints([
        [0, 0, 0],
        [0, 1, 0],
      ]),
      null,
    ),
  );
  const wanted = { aim: null, up: { index: 2, sign: 1 } } as const;
  rule?.checkAsset(model, {}, null, wanted);
  expect(seen).toEqual([wanted]);
});
