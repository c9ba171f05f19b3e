import { judged, judgedAsOne } from '../../src/kit/finding.js';
import { assetRule } from '../../src/kit/rule.js';

/** An asset without a skin is said to be one, so that nobody takes silence for a pass. */
export const fileNoSkin = assetRule({
  id: 'file.no-skin',
  level: 'note',
  title: 'an asset without a skin',
  why: 'Nothing in the file is bound to joints, so no other rule has anything to say. A rig exported without its mesh looks like this.',
  formula:
    'The number of rigs: skins of the asset, those that share joints or a root taken as one.',
  remedy: 'Export the mesh together with its joints and skin, if the asset should have any.',
  source: 'glTF 2.0, 3.7.3 Skins',
  limits: { skins: { default: 1, unit: 'skins', tells: 'rigs in an asset, at least' } },
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
      message: `The asset has ${finding.measured} skins (at least ${finding.limit} expected): there is no rig to check.`,
      remedy: 'If it should have a rig, export the mesh together with its joints and skin.',
    };
  },
});
