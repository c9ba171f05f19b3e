import { judged, judgedAsOne } from '../../src/kit/finding.js';
import { assetRule } from '../../src/kit/rule.js';
import { against, limit } from '../parts.js';

/** An asset without a skin gets a note, so that nobody takes silence for a pass. */
export const fileNoSkin = assetRule({
  id: 'file.no-skin',
  level: 'note',
  title: 'an asset without a skin',
  why: 'Nothing in the file is bound to joints, so no other rule can measure anything. A rig that was exported without its mesh looks like this.',
  formula: 'The number of rigs. A rig is a skin, or several skins that share joints or a root.',
  remedy: 'If the asset should have a rig, export the mesh together with its joints and skin.',
  source: 'glTF 2.0, 3.7.3 Skins',
  limits: { skins: limit(1, 'skins', 'smallest number of rigs in an asset') },
  // Who knows what the asset has to fit says what is missing, or what its clips pose in vain.
  yieldsTo: [{ to: ['fit.missing', 'fit.clip'], on: 'rig' }],
  check(model, limits) {
    const measured = model.rigs.length;
    if (measured >= limits.skins) return judged('assets', 1, []);
    return judgedAsOne('assets', 1, {
      level: 'note',
      place: { kind: 'asset' },
      ...against(measured, limits.skins, 'skins'),
      details: null,
    });
  },
  say: ({ measured, limit }) => ({
    message: `The asset has ${measured} skins (limit: at least ${limit}), so there is no rig to check.`,
    remedy: 'If it should have a rig, export the mesh together with its joints and skin.',
  }),
});
