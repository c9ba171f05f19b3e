import { judged, judgedAsOne } from '../../src/kit/finding.js';
import { assetRule } from '../../src/kit/rule.js';

/** An asset without a skin is said to be one, so that nobody takes silence for a pass. */
export const fileNoSkin = assetRule({
  id: 'file.no-skin',
  level: 'note',
  title: 'an asset without a skin',
  why: 'Nothing in the file is bound to joints, so no other rule can measure anything. A rig that was exported without its mesh looks like this.',
  formula: 'The number of rigs. A rig is a skin, or several skins that share joints or a root.',
  remedy: 'If the asset should have a rig, export the mesh together with its joints and skin.',
  source: 'glTF 2.0, 3.7.3 Skins',
  limits: { skins: { default: 1, unit: 'skins', tells: 'smallest number of rigs in an asset' } },
  check(model, limits) {
    const found = model.rigs.length;
    if (found >= limits.skins) return judged('assets', 1, []);
    return judgedAsOne('assets', 1, {
      level: 'note',
      place: { kind: 'asset' },
      measured: found,
      limit: limits.skins,
      unit: 'skins',
      details: null,
    });
  },
  say(finding) {
    return {
      message: `The asset has ${finding.measured} skins (limit: at least ${finding.limit}), so there is no rig to check.`,
      remedy: 'If it should have a rig, export the mesh together with its joints and skin.',
    };
  },
});
